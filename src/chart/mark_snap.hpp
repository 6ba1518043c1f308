// Moves a person's marks onto the tick or grid line that they meant.
#pragma once

#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/raster.hpp"

namespace gapwright {

struct SnappedMark {
    ChartMark mark = {};  // where it is taken to be
    double moved = 0;     // px from where it was put; 0 where it stays
    // Whether a line is near that its value may stand on. A mark without one stays; so does one
    // between two lines that are about as near.
    bool on_line = false;
};

// Each mark onto the line near it that runs across its axis, a mark of both values onto the lines
// of both; "near": 4 px, in large pictures up to 16. `scale`: of the marks as they were put.
std::vector<SnappedMark> snapped_marks(const Raster& raster, const ChartScale& scale,
                                       const std::vector<ChartMark>& marks);

}  // namespace gapwright
