// One value that a meter showed, as a person writes it, and back into text.
#pragma once

#include <string>
#include <string_view>

#include "bench/meter/measurement.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// What a meter showed, in V, A or Ω: "4.32 V", "330 Ω", "12 mA", or a number in these units, plain
// or with a prefix alone: "4.7k". The decimal sign may be a comma. "over range", "over", "OL" and
// "∞" are infinity, of resistances, isolations and junctions. Errors: those of parse_quantity,
// among them out_of_range for a resistance below zero; out_of_range for a voltage or current over
// range. What no circuit could give is no error: it is what somebody wants explained.
TextExpected<double> parse_reading_value(std::string_view text, const Measurement& measurement);

// A value in its dimension's inner unit as text that parses back to the very same double, with no
// more digits than that takes: "4.32 V"; "over range" for infinity. Requires no NaN.
std::string reading_text(double value, Dimension dimension);

}  // namespace gapwright
