// A meter's leads on a board. Internal to the layer.
#pragma once

#include "draw/board_frame.hpp"
#include "draw/board_picture.hpp"
#include "draw/picture.hpp"

namespace gapwright {

// Both leads with the names of their holes. One on a lifted leg stands beside its hole, which is
// seen to be empty.
void draw_meter(Picture& picture, const BoardFrame& frame, const BoardMeter& meter);

// An ammeter in a lead that runs level from the board's edge to `to`, as far as ammeter_reach.
inline constexpr double ammeter_reach = 118;  // px
void draw_ammeter(Picture& picture, Point edge, Point to, bool red_at_board);

}  // namespace gapwright
