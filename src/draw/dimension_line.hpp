// A dimension line as on an engineer's drawing: arrow heads at both ends, the measure above it.
#pragma once

#include "draw/picture.hpp"

namespace gapwright {

// Horizontal, from `left` to `right` at height `y`, with short extension lines up to `feet`. Where
// the heads find no room between the ends they point inwards from outside.
void draw_dimension(Picture& picture, double left, double right, double y, double feet,
                    std::string_view measure);

}  // namespace gapwright
