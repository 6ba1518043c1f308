// What a meter shows of a value, and how far that may lie from it.
//
// Ranges are ten times one another, and each shows `Meter::counts` at full scale, so that the last
// place shown is a power of ten. With 2000 counts they are 0.2 V to 1000 V, 200 µA to 10 A and
// 200 Ω to 20 MΩ, as on meters of three and a half digits (common practice); with 6000 counts 0.6
// V, 6 V … The highest of voltage and of current end at 1000 V and 10 A, what a meter's terminals
// bear (common practice). An isolation is measured on the ranges of resistance, by an insulation
// tester on ranges of 200 kΩ to 2 GΩ; a junction on one range of voltage, up to
// `Meter::junction_range` or, where that is not stated, to what the meter applies to it.
#pragma once

#include "bench/meter/measurement.hpp"
#include "link/meter.hpp"

namespace gapwright {

// The full scale, V, A or Ω, of the smallest range that shows `value`, whatever its sign; infinity
// when it lies above the largest ("over range").
double range_for(const Meter& meter, MeasurementKind kind, double value);

// The last place shown, V, A or Ω, on the range for `value`; infinity when over range.
double resolution(const Meter& meter, MeasurementKind kind, double value);

// The most by which a reading of `value` may lie from it, V, A or Ω, by the meter's accuracy: its
// share of the value and its digits of the last place shown. A junction's is that of voltages.
// Infinity when over range.
double error_limit(const Meter& meter, MeasurementKind kind, double value);

// The standard uncertainty of a reading of `value`, V, A or Ω: its error taken as uniform within
// the limits (JCGM 100:2008, 4.3.7).
double standard_error(const Meter& meter, MeasurementKind kind, double value);

// The meter between its leads as an ammeter, Ω, on the range of that full scale, A; none of it
// where that is infinite. Requires full_scale > 0.
double burden_resistance(const Meter& meter, double full_scale);

// `value` rounded to the last place shown; infinity when over range.
double shown(const Meter& meter, MeasurementKind kind, double value);

}  // namespace gapwright
