// A lead of a meter as pictures show it. Internal to the layer.
#pragma once

#include <string>

#include "draw/picture.hpp"

namespace gapwright {

struct Probe {
    Point tip;
    Point reach;  // from the tip to the other end, to its left or to its right
    bool red = false;
    std::string words = {};  // at the other end
};

Point end_of(const Probe& probe);
// The room that its words take, estimated from above.
Box words_box(const Probe& probe);

void draw_probe(Picture& picture, const Probe& probe);

}  // namespace gapwright
