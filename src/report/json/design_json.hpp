// A design as one JSON document, in the shape of docs/files.md. SI units, temperatures in °C.
#pragma once

#include <string>

#include "design/design.hpp"

namespace gapwright {

// Numbers round-trip; what does not exist or is not finite is null.
std::string design_json(const Design& design);

}  // namespace gapwright
