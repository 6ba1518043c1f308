// The empty board: its edge, the gap, what its own metal joins, holes and their names. Internal to
// the layer.
#pragma once

#include "draw/board_frame.hpp"
#include "draw/picture.hpp"

namespace gapwright {

// Edge, gap, metal and holes.
void draw_ground(Picture& picture, const BoardFrame& frame);

// Letters of columns and the rails' marks above, below too where the board ends there; numbers of
// rows at both edges. Each of the four is a group of class "ruler" by itself, "head", "foot",
// "left" or "right" besides, so that a page can keep it in sight.
void draw_rulers(Picture& picture, const BoardFrame& frame);

}  // namespace gapwright
