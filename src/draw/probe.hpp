// A lead of a meter as pictures show it. Internal to the layer.
#pragma once

#include <string_view>

#include "draw/picture.hpp"

namespace gapwright {

// With its tip at a spot; the other end lies below it to the left or to the right, and its words
// there.
void draw_probe(Picture& picture, Point tip, bool red, bool to_left, std::string_view words);

}  // namespace gapwright
