// Finds legends inside a plot: short level strokes with text beside them, which no curve is.
#pragma once

#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"

namespace gapwright {

struct PixelBox {
    double left = 0, top = 0, right = 0, bottom = 0;  // px, edges included

    [[nodiscard]] bool holds(PixelPoint at, double around = 0) const {
        return at.x >= left - around && at.x <= right + around && at.y >= top - around &&
               at.y <= bottom + around;
    }
};

struct Legend {
    std::vector<PixelBox> samples = {};
    PixelBox whole = {};  // with its texts, and its frame where it has one
};

// `dark`: ink of all tones, without the grid; `scale` affine. Level is along the x axis.
std::vector<Legend> find_legends(const CurveInk& dark, const ChartScale& scale,
                                 const ChartArea& area);

}  // namespace gapwright
