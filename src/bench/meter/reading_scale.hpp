// The scale on which readings are compared: linear near zero, logarithmic beyond, so that 5 mV
// against 500 mV and 5 V against 10 V both show. Internal to the layer.
#pragma once

#include "bench/meter/measurement.hpp"
#include "link/meter.hpp"

namespace gapwright {

// A reading on that scale, and how far off it the meter may be (one standard deviation).
struct ScaledReading {
    double value = 0;
    double error = 0;
};

// asinh(value/s), s being 10 mV, 1 µA or 1 Ω. What is over range has one value, above all others.
double scaled(const Meter& meter, MeasurementKind kind, double value);
double scaled_error(const Meter& meter, MeasurementKind kind, double value);
// The reading in V, A or Ω at a place on the scale.
double unscaled(MeasurementKind kind, double scaled);

// Whether a place on the scale is that of over range.
bool is_over_range(double scaled);

// The scale runs from minus to plus this.
inline constexpr double scale_end = 20;

}  // namespace gapwright
