// What points of a part say, one measured quantity each: what was measured, at what.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// What can be measured of a part and fitted.
enum class Measured : unsigned char {
    forward_voltage,    // V, of a junction, at forward_current
    collector_current,  // A, of a receiver, lit, at collector_emitter_voltage
    relative_ctr,       // transfer ratio over that at reference_current and 25 °C, same voltage
    dark_current,       // A, of a receiver, unlit, at collector_emitter_voltage
    resistance,         // Ω, of a light-dependent resistor, at illuminance
    rise_time,          // s, of a receiver's current from 10 to 90 % behind load_resistance
    fall_time,          // s, back
};

struct Observation {
    Measured measured = Measured::forward_voltage;
    double value = 0;                // in the measured quantity's unit, above zero
    double uncertainty = 0;          // standard, a share of the value
    bool uncertainty_given = false;  // by the point itself
    bool as_ctr = false;             // a collector current that was stated as a ratio
    // Where it was measured; those that do not matter are zero.
    double forward_current = 0;            // A
    double reference_current = 0;          // A, of a relative_ctr
    double irradiance = 0;                 // W/m²
    double illuminance = 0;                // lx; zero: covered
    double collector_emitter_voltage = 0;  // V
    double supply_voltage = 0;             // V
    double load_resistance = 0;            // Ω
    double temperature = 298.15;           // K
    std::size_t point = 0;                 // which of the points said it
    // What it has in common with the other points of its chart, standard, a share of the value, and
    // which chart and curve that is.
    double shared_uncertainty = 0;
    std::size_t chart = 0;
    int curve = 0;
    std::string specimen = {};
};

// The standard uncertainty of a set current where no point says it, a share. Own choice: a
// hand-held meter's.
inline constexpr double current_uncertainty = 0.01;

// What the points say of a part of this kind. Errors, each at its point: missing_key for a point
// that states no measured quantity of this kind, or one without what it was measured at;
// out_of_range for values that are not above zero. No point at all: missing_key without a place; a
// kind that cannot be fitted: contradiction, likewise.
Expected<std::vector<Observation>> observations_of(Kind kind,
                                                   const std::vector<MeasuredPoint>& points);

// "forward voltage"; the columns that belong to it, for messages.
std::string_view measured_words(Measured measured);
Dimension measured_dimension(Measured measured);

// The kinds that can be fitted.
bool can_be_fitted(Kind kind);

}  // namespace gapwright
