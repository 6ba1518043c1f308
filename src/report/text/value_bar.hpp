// A value's window as a small bar of text. Internal to the layer.
#pragma once

#include <string>

#include "design/design.hpp"

namespace gapwright {

// "├────▓▓▓▓█▓▓▓─────┤": from the lowest to the highest value on offer, logarithmic; ▓ where
// everything holds, █ the value taken.
std::string value_bar(const ValueWindow& window, double taken);

}  // namespace gapwright
