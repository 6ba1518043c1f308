#include "bench/meter/reading_scale.hpp"

#include <cmath>

#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"
#include "link/meter.hpp"

namespace gapwright {
namespace {

double bend(MeasurementKind kind) {
    switch (kind) {
        case MeasurementKind::voltage:
        case MeasurementKind::junction:
            return 10e-3;
        case MeasurementKind::current:
            return 1e-6;
        case MeasurementKind::resistance:
        case MeasurementKind::isolation:
        case MeasurementKind::insulation:
            break;
    }
    return 1;
}

constexpr double over_range = 19;  // on the scale: above what any reading comes to
constexpr double over_range_error = 0.05;

}  // namespace

double scaled(const Meter& meter, MeasurementKind kind, double value) {
    const double shown_value = std::isfinite(value) ? shown(meter, kind, value) : value;
    return std::isfinite(shown_value) ? std::asinh(value / bend(kind))
                                      : std::copysign(over_range, value);
}

double scaled_error(const Meter& meter, MeasurementKind kind, double value) {
    const double shown_value = std::isfinite(value) ? shown(meter, kind, value) : value;
    if (!std::isfinite(shown_value)) return over_range_error;
    return standard_error(meter, kind, value) / std::hypot(value, bend(kind));
}

bool is_over_range(double value) {
    return value > over_range - 10 * over_range_error;
}

double unscaled(MeasurementKind kind, double value) {
    return bend(kind) * std::sinh(value);
}

}  // namespace gapwright
