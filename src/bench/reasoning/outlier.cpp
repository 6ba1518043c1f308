#include "bench/reasoning/outlier.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_scale.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/suspicion.hpp"

namespace gapwright {
namespace {

constexpr double left_unexplained = 0.3;  // with the reading: it is a mystery
constexpr double explained = 0.02;        // without it: it is none
constexpr double likely = 0.3;            // of one fault, or none, without it

// A decimal sign misplaced, or a prefix mistaken.
constexpr double slips[] = {10, 0.1, 1000, 1e-3, 100, 0.01};

std::size_t likeliest(const std::vector<double>& shares) {
    return static_cast<std::size_t>(std::ranges::max_element(shares) - shares.begin());
}

std::optional<double> slip_of(const FaultDictionary& dictionary, std::size_t fault,
                              const TakenReading& reading) {
    if (!std::isfinite(reading.value) || reading.value == 0) return std::nullopt;
    for (const double factor : slips) {
        const TakenReading moved{.measurement = reading.measurement,
                                 .value = reading.value * factor};
        if (explains(dictionary, fault, moved)) return moved.value;
    }
    return std::nullopt;
}

}  // namespace

bool explains(const FaultDictionary& dictionary, std::size_t fault, const TakenReading& reading) {
    if (dictionary.faults[fault].loose && explains(dictionary, 0, reading)) return true;
    const auto values = dictionary.readings[fault].of(reading.measurement);
    const auto others = dictionary.readings[fault].by_other(reading.measurement);
    if (values.empty() || !dictionary.readings[fault].knows(reading.measurement)) return false;
    const MeasurementKind kind = dictionary.measurements[reading.measurement].kind;
    const double y = scaled(dictionary.meter, kind, reading.value);
    const double error = 2 * scaled_error(dictionary.meter, kind, reading.value);
    // By meters of either sort, and of what lies between.
    const auto [low, high] = std::ranges::minmax(values);
    const auto [other_low, other_high] = std::ranges::minmax(others);
    return y >= std::min(low, other_low) - error && y <= std::max(high, other_high) + error;
}

std::optional<Outlier> find_outlier(const FaultDictionary& dictionary, double no_fault,
                                    const std::vector<TakenReading>& readings) {
    constexpr std::size_t least = 3;
    if (readings.size() < least) return std::nullopt;
    Suspicion suspicion(dictionary, no_fault);
    suspicion.weigh(readings);
    if (suspicion.unexplained() < left_unexplained) return std::nullopt;
    std::optional<Outlier> found;
    double best = 0;
    for (std::size_t k = 0; k < readings.size(); ++k) {
        if (readings[k].confirmed || crosses_gap(dictionary.measurements[readings[k].measurement]))
            continue;
        std::vector<TakenReading> others = readings;
        others.erase(others.begin() + static_cast<std::ptrdiff_t>(k));
        suspicion.weigh(others);
        const auto& shares = suspicion.of_faults();
        const std::size_t fault = likeliest(shares);
        if (suspicion.unexplained() > explained || shares[fault] < likely) continue;
        const auto slip = slip_of(dictionary, fault, readings[k]);
        // One that slipped needs no other story.
        constexpr double slipped = 3;
        const double merit = suspicion.log_evidence() + (slip ? slipped : 0);
        if (found && merit <= best) continue;
        best = merit;
        found = Outlier{.reading = k, .slip = slip};
    }
    return found;
}

}  // namespace gapwright
