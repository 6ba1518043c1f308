// Outlines of parts on a board, seen from above, with their marks. Internal to the layer.
#pragma once

#include <vector>

#include "board/wiring.hpp"
#include "draw/picture.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {

inline constexpr double board_pitch = 20;  // px from hole to hole

// Body, leads, name, and what tells its ends apart: a diode's band and a light-emitting diode's
// flat at the cathode, a capacitor's plus, a transistor's flat face and letters, a coupler's pin 1.
// A resistor's `bands`, in the order of reading, where its body has room for them and its name;
// none for other parts. Names beside bodies stay `within` the ground between the numbers of rows.
void draw_body(Picture& picture, const WiringPart& part, const std::vector<Point>& pins,
               const ColourBands& bands, const Box& within);

// The name alone, between the pins.
void draw_name_from_below(Picture& picture, const WiringPart& part, const std::vector<Point>& pins);

}  // namespace gapwright
