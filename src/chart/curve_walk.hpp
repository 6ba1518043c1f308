// Follows a curve from one place to its end in one direction, by arc length, so that steep curves
// are as good as level ones.
#pragma once

#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"
#include "chart/stroke.hpp"

namespace gapwright {

enum class WalkEnd {
    ink_ends,  // nothing of the curve lies ahead
    border,    // the area's border
    fork,      // two ways on fit about as well, or other ink lies ahead that may hide the curve
    too_long,  // runs in circles
};

struct CurveWalk {
    std::vector<SeenPoint> seen = {};  // in order; where the curve is hidden there are none
    WalkEnd end = WalkEnd::ink_ends;
    PixelPoint last = {};  // where it ended
    int forks = 0;         // how many it came to where there was a choice
};

// What to do where ways on fit about as well.
struct WalkChoice {
    bool stop = true;  // there; else take the better way, but the next one at these forks:
    std::vector<int> other = {};
};

// Starts with `seen` (at least two points, in the direction to go).
CurveWalk walk_curve(const CurveInk& ink, const ChartScale& scale, const ChartArea& area,
                     const StrokeLook& look, std::vector<SeenPoint> seen, const WalkChoice& choice);

}  // namespace gapwright
