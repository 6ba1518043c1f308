// The names by which people call a measurement: the one on the sheet, and what else they would
// write for it.
#pragma once

#include <string>
#include <string_view>
#include <vector>
#include "bench/meter/measurement.hpp"

namespace gapwright {

// A name with everything taken out in which two ways of writing it may differ: blanks, "between D2
// and U1" for "D2/U1" and the order of these, "input supply" for "input.supply". Equal texts call
// the same.
std::string plain_name(std::string_view name);

// Its name on the sheet, then the others: "voltage across R3" of a resistor that ends at the
// return, "current D2" of a diode in series with what is measured.
std::vector<std::string> names_of(const Measurement& measurement);

}  // namespace gapwright
