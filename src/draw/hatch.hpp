// Forbidden ground: a box hatched with slanted dashes, so that it is told without colour.
#pragma once

#include "draw/picture.hpp"

namespace gapwright {

// Nothing where the box is less than a pixel wide or high.
void draw_forbidden(Picture& picture, const Box& box);

}  // namespace gapwright
