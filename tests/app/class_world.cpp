#include "class_world.hpp"

#include <fmt/format.h>

#include <cmath>

namespace gapwright::testing_support {
namespace {

constexpr double saturation = 0.06;  // V, over which a collector's current comes up

double normal(std::mt19937_64& random, double centre, double deviation) {
    return std::normal_distribution<double>(centre, deviation)(random);
}
// About the centre by a factor.
double factor(std::mt19937_64& random, double centre, double deviation) {
    return centre * std::exp(normal(random, 0, deviation));
}

// What a hand-held meter shows: its own gain, a little noise, and three decimals of its range.
struct HandMeter {
    double gain = 1;
    double step = 0;

    double shows(std::mt19937_64& random, double value) const {
        return std::round(value * gain * normal(random, 1, 0.001) / step) * step;
    }
};

double bisected(double low, double high, const auto& falling) {
    for (int k = 0; k < 80; ++k) {
        const double middle = (low + high) / 2;
        (falling(middle) > 0 ? low : high) = middle;
    }
    return low;
}

}  // namespace

double WorldCoupler::forward_voltage(double amperes) const {
    return volts + slope * std::log(amperes / 5e-3) + series * (amperes - 5e-3);
}

double WorldCoupler::collector_current(double forward, double volts_left) const {
    const auto shape = [&](double i) {
        return 1 / (1 + std::pow(knee / i, steepness)) / (1 + i / droop);
    };
    const double active = ratio * shape(forward) / shape(5e-3) * forward;
    return active * (1 + (volts_left - 5) / early) * -std::expm1(-volts_left / saturation);
}

WorldCoupler drawn_coupler(std::mt19937_64& random) {
    WorldCoupler c;
    c.ratio = factor(random, 1.3, 0.15);
    c.knee = factor(random, 0.8e-3, 0.1);
    c.steepness = normal(random, 0.9, 0.03);
    c.droop = factor(random, 80e-3, 0.1);
    c.early = factor(random, 80, 0.1);
    c.volts = normal(random, 1.17, 0.012);
    c.slope = normal(random, 0.042, 0.001);
    c.series = factor(random, 1.5, 0.2);
    return c;
}

ClassReadings class_readings(std::uint64_t seed, int students) {
    std::mt19937_64 random(seed);
    ClassReadings result;
    result.csv =
        "student,forward_current (mA),forward_voltage (V),collector_current (mA),"
        "collector_emitter_voltage (V),specimen,date\r\n";
    for (int k = 0; k < students; ++k) {
        const WorldCoupler coupler = drawn_coupler(random);
        // Two ranges, each with an error of its own; 0.5 % and 0.3 % as hand-held meters have
        // (common practice).
        const HandMeter amperes{.gain = normal(random, 1, 0.005), .step = 1e-5};
        const HandMeter volts{.gain = normal(random, 1, 0.003), .step = 1e-3};
        for (const double wanted : {1e-3, 2e-3, 3.5e-3, 5e-3, 7.5e-3, 10e-3, 15e-3}) {
            const double forward = wanted * normal(random, 1, 0.03);  // set by hand
            const double left = normal(random, 5, 0.05);
            // One after the other, so that every compiler draws alike.
            const double read_forward = amperes.shows(random, forward);
            const double read_drop = volts.shows(random, coupler.forward_voltage(forward));
            const double read_collector =
                amperes.shows(random, coupler.collector_current(forward, left));
            const double read_left = volts.shows(random, left);
            result.csv +=
                fmt::format("student {},{:.2f},{:.3f},{:.2f},{:.3f},U{},Monday\r\n", k + 1,
                            1e3 * read_forward, read_drop, 1e3 * read_collector, read_left, k + 1);
        }
        result.couplers.push_back(coupler);
    }
    return result;
}

double load_voltage(const WorldCoupler& coupler, const ClassLink& link) {
    const double forward = bisected(1e-6, link.supply / link.series, [&](double i) {
        return link.supply - i * link.series - coupler.forward_voltage(i);
    });
    const double current = bisected(0, link.output / link.load, [&](double i) {
        return coupler.collector_current(forward, link.output - i * link.load) - i;
    });
    return current * link.load;
}

}  // namespace gapwright::testing_support
