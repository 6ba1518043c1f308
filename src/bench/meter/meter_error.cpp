#include "bench/meter/meter_error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <limits>
#include <numbers>
#include <optional>
#include "bench/meter/measurement.hpp"
#include "link/meter.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// From which power of ten on the ranges of a kind go, how many they are, and where the last ends.
struct Ranges {
    int first;  // exponent: 2000 counts show 2.000 · 10^first there
    int count;
    double highest;
};

Ranges ranges_of(const Meter& meter, MeasurementKind kind) {
    switch (kind) {
        case MeasurementKind::voltage:
            return {.first = -1, .count = 5, .highest = 1000};
        case MeasurementKind::current:
            return {.first = -4, .count = 6, .highest = 10};
        case MeasurementKind::junction:
            return {.first = 0,
                    .count = 1,
                    .highest = meter.junction_range.value_or(meter.junction_voltage)};
        case MeasurementKind::insulation:  // 200 kΩ to 2 GΩ with 2000 counts (common practice)
            return {.first = 5, .count = 5, .highest = infinity};
        case MeasurementKind::resistance:
        case MeasurementKind::isolation:
            break;
    }
    return {.first = 2, .count = 6, .highest = infinity};
}

// Those that the last places of ranges have, and more; all exact.
constexpr std::array powers_of_ten = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                      1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

// Exact where a decimal figure is: 0.004 is the double nearest to it, 4 · 0.001 need not be.
double times_power_of_ten(double number, int exponent) {
    const double power = powers_of_ten[static_cast<std::size_t>(std::abs(exponent))];
    return exponent < 0 ? number / power : number * power;
}

struct RangeShown {
    double full_scale;
    int last_place;  // exponent
};

// None when over range.
std::optional<RangeShown> range_shown(const Meter& meter, MeasurementKind kind, double value) {
    int decimals = 0;  // 3 for 2000 counts
    for (int rest = meter.counts; rest >= 10; rest /= 10) ++decimals;
    const Ranges ranges = ranges_of(meter, kind);
    for (int k = 0; k < ranges.count; ++k) {
        const int last_place = ranges.first + k - decimals;
        // A junction's one range goes on with the same last place.
        const double by_counts = kind == MeasurementKind::junction
                                     ? infinity
                                     : times_power_of_ten(meter.counts, last_place);
        const double full_scale = std::min(by_counts, ranges.highest);
        const double rounded = std::round(times_power_of_ten(std::abs(value), -last_place));
        if (times_power_of_ten(rounded, last_place) <= full_scale) {
            return RangeShown{.full_scale = full_scale, .last_place = last_place};
        }
    }
    return std::nullopt;
}

// Of insulation testers (common practice).
constexpr Accuracy of_insulation = {.share = 0.05, .digits = 5};

const Accuracy& accuracy_of(const Meter& meter, MeasurementKind kind) {
    switch (kind) {
        case MeasurementKind::voltage:
        case MeasurementKind::junction:
            return meter.voltage;
        case MeasurementKind::current:
            return meter.current;
        case MeasurementKind::insulation:
            return of_insulation;
        case MeasurementKind::resistance:
        case MeasurementKind::isolation:
            break;
    }
    return meter.resistance;
}

}  // namespace

double range_for(const Meter& meter, MeasurementKind kind, double value) {
    const auto range = range_shown(meter, kind, value);
    if (!range) return infinity;
    return range->full_scale;
}

double resolution(const Meter& meter, MeasurementKind kind, double value) {
    const auto range = range_shown(meter, kind, value);
    if (!range) return infinity;
    return times_power_of_ten(1, range->last_place);
}

double error_limit(const Meter& meter, MeasurementKind kind, double value) {
    const auto range = range_shown(meter, kind, value);
    if (!range) return infinity;
    const Accuracy& accuracy = accuracy_of(meter, kind);
    return accuracy.share * std::abs(value) +
           times_power_of_ten(accuracy.digits, range->last_place);
}

double standard_error(const Meter& meter, MeasurementKind kind, double value) {
    return error_limit(meter, kind, value) * std::numbers::inv_sqrt3;
}

double burden_resistance(const Meter& meter, double full_scale) {
    return meter.burden_voltage / full_scale;
}

double shown(const Meter& meter, MeasurementKind kind, double value) {
    const auto range = range_shown(meter, kind, value);
    if (!range) return infinity;
    return times_power_of_ten(std::round(times_power_of_ten(value, -range->last_place)),
                              range->last_place);
}

}  // namespace gapwright
