// Seen places along a curve into a smooth path with its uncertainty.
#pragma once

#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/stroke.hpp"

namespace gapwright {

struct PathPoint {
    PixelPoint at = {};
    Heading heading = {};
    double error = 0;  // px across the curve, standard uncertainty
    double way = 0;    // px
    bool seen = true;
};

// Points about 2 px apart by local robust quadratics; `seen` is in order along the curve.
std::vector<PathPoint> smooth_path(const std::vector<SeenPoint>& seen, const StrokeLook& look);

}  // namespace gapwright
