// A design as people read it at a terminal.
#pragma once

#include <string>

#include "design/design.hpp"
#include "report/text/verdict_text.hpp"

namespace gapwright {

// How many answers hold; each answer with its circuit, its least reserve, its values and how well
// the optimum is known; where nothing holds, the nearest miss and what it breaks; the worked steps
// of the values; the gaps compared. Lines end with '\n'.
std::string design_text(const Design& design, const TextStyle& style);

}  // namespace gapwright
