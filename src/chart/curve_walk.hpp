// Follows a curve from one place to its end in one direction, by arc length, so that steep curves
// are as good as level ones.
#pragma once

#include <cstdint>
#include <stop_token>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"
#include "chart/legend_samples.hpp"
#include "chart/stroke.hpp"

namespace gapwright {

enum class WalkEnd {
    ink_ends,  // nothing of the curve lies ahead
    border,    // the area's border
    fork,      // two ways on fit about as well, or other ink lies ahead that may hide the curve
    too_long,  // runs in circles
    given_up,  // the budget is spent, or somebody asked for a stop
};

// How much is looked for where the curve is hidden, all walks of a curve together: in a noisy
// picture of texture, where every other place hides it, that would take minutes.
struct WalkBudget {
    std::int64_t looks = 0;  // places in the picture that are looked at, some 15 ns each
    std::stop_token stop = {};
    bool spent = false;
};

// Where a curve is followed.
struct Chart {
    const CurveInk& ink;
    const ChartScale& scale;  // affine
    const ChartArea& area;
    const std::vector<Legend>& legends;
    WalkBudget& budget;
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
CurveWalk walk_curve(const Chart& chart, const StrokeLook& look, std::vector<SeenPoint> seen,
                     const WalkChoice& choice);

}  // namespace gapwright
