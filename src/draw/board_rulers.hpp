// Names of a board's rows and columns. Internal to the layer.
#pragma once

#include "draw/board_frame.hpp"
#include "draw/picture.hpp"

namespace gapwright {

// Letters of columns and the rails' marks above, below too where the board ends there; numbers of
// rows at both edges. On a small screen neither edge may be in sight: on a solderless board they
// stand beside its holes too, where nothing lies over them and no meter is shown. Each of these is
// a group of class "ruler", "head", "foot", "left", "right" or "beside" besides, so that a page can
// keep it in sight.
void draw_rulers(Picture& picture, const BoardFrame& frame);

}  // namespace gapwright
