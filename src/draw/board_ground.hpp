// The empty board: its edge, the gap, what its own metal joins, and holes. Internal to the layer.
#pragma once

#include "draw/board_frame.hpp"
#include "draw/picture.hpp"

namespace gapwright {

// Edge, gap, metal and holes.
void draw_ground(Picture& picture, const BoardFrame& frame);

}  // namespace gapwright
