// A lead of a meter as pictures show it. Internal to the layer.
#pragma once

#include <string>

#include "draw/picture.hpp"

namespace gapwright {

struct MeterLead {
    Point tip;
    Point reach;  // from the tip to the other end, to its left or to its right
    bool red = false;
    std::string words = {};  // at the other end
};

Point end_of(const MeterLead& lead);
// The room that its words take, estimated from above.
Box words_box(const MeterLead& lead);

void draw_meter_lead(Picture& picture, const MeterLead& lead);

}  // namespace gapwright
