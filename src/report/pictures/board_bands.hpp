// Colour bands of what stands on a board.
#pragma once

#include <vector>

#include "board/wiring.hpp"
#include "link/link.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {

// By part of the link's wiring: a resistor's bands in the order of reading; empty for other parts
// and for values that bands cannot say.
std::vector<ColourBands> bands_on(const Link& link, const Wiring& wiring);

}  // namespace gapwright
