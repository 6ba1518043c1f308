// A dimension line as on an engineer's drawing: arrow heads at both ends, and the measure beside
// it.
#pragma once

#include <string_view>
#include "draw/picture.hpp"

namespace gapwright {

// Where the heads find no room between the ends of a line they point inwards from outside, and the
// line reaches this far past both ends; zero where they find room. In pixels, as `span` is.
double head_reach(double span);

// The line and its heads alone: from `left` to `right` at height `y`, or from `top` down to
// `bottom` at `x`. The ends may coincide.
void draw_level_arrows(Picture& picture, double left, double right, double y);
void draw_upright_arrows(Picture& picture, double x, double top, double bottom);

// Horizontal, from `left` to `right` at height `y`, with short extension lines up to `feet` and the
// measure below.
void draw_dimension(Picture& picture, double left, double right, double y, double feet,
                    std::string_view measure);

}  // namespace gapwright
