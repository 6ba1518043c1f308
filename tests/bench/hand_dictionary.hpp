// Dictionaries whose readings tests choose themselves.
#pragma once

#include <cmath>
#include <numbers>
#include <random>

#include "bench/bench_links.hpp"
#include "bench/meter/reading_scale.hpp"

namespace gapwright::testing_support {

// A fault, and what its specimens read of the first few measurements: V, A or Ω.
struct HandFault {
    std::string suspect;
    double weight = 1;
    std::vector<std::vector<double>> readings;  // a row a measurement
};

// So many times the same.
inline std::vector<double> all_read(double value, std::size_t specimens = 40) {
    return std::vector<double>(specimens, value);
}

// Voltages at the nodes of a link with three of them on a side; further measurements read 1 V, 1 Ω.
inline FaultDictionary hand_dictionary(const std::vector<HandFault>& faults, const Meter& meter) {
    FaultDictionary dictionary;
    dictionary.meter = meter;
    for (const Measurement& m : measurements_of(*link_from(plain_link()))) {
        if (m.kind == MeasurementKind::voltage) dictionary.measurements.push_back(m);
    }
    dictionary.suspects = {""};
    for (const HandFault& hand : faults) {
        Fault fault;
        fault.suspect = hand.suspect;
        fault.weight = hand.weight;
        dictionary.faults.push_back(fault);
        FaultReadings readings;
        readings.specimens = hand.readings.front().size();
        for (std::size_t m = 0; m < dictionary.measurements.size(); ++m) {
            for (std::size_t k = 0; k < readings.specimens; ++k) {
                const double value = m < hand.readings.size() ? hand.readings[m][k] : 1;
                readings.scaled.push_back(scaled(meter, dictionary.measurements[m].kind, value));
            }
        }
        dictionary.readings.push_back(readings);
        const auto found = std::ranges::find(dictionary.suspects, hand.suspect);
        dictionary.suspect_of.push_back(
            static_cast<std::size_t>(found - dictionary.suspects.begin()));
        if (found == dictionary.suspects.end()) dictionary.suspects.push_back(hand.suspect);
    }
    return dictionary;
}

// A meter that is off by up to so much of a voltage, and shows many digits.
inline Meter meter_off_by(double share) {
    Meter meter;
    meter.voltage = {.share = share, .digits = 0};
    meter.counts = 2'000'000;
    return meter;
}

// Places on the scale of voltages, by its definition: asinh(V / 10 mV).
inline double voltage_scale(double value) {
    return std::asinh(value / 0.01);
}
inline double voltage_at(double scaled) {
    return 0.01 * std::sinh(scaled);
}
// The meter's standard error there: uniform within its limits, and the scale's slope.
inline double voltage_error(double share, double value) {
    return share * value / std::numbers::sqrt3 / std::hypot(value, 0.01);
}

// Numbers of the standard normal distribution (Box & Muller 1958), alike with every library.
class NormalNumbers {
  public:
    explicit NormalNumbers(std::uint64_t seed) : random_(seed) {}

    double operator()() {
        const double angle = 2 * std::numbers::pi * uniform();
        return std::sqrt(-2 * std::log(1 - uniform())) * std::cos(angle);
    }

  private:
    double uniform() { return static_cast<double>(random_() >> 11U) * 0x1.0p-53; }

    std::mt19937_64 random_;
};

}  // namespace gapwright::testing_support
