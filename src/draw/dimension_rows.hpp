// Dimension lines above one another on a drawing: which row each takes, so that none covers
// another.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace gapwright {

// From left to right, in pixels; left is at most right.
struct DimensionSpan {
    double left = 0;
    double right = 0;
    std::string label;
};

struct DimensionPlace {
    std::size_t row = 0;   // 0 is nearest to what is dimensioned
    double text_left = 0;  // pixels; room for the label
    double text_right = 0;
};

// Few rows, short spans nearer to what is dimensioned than long ones, and no label struck through
// by the extension lines of a span in a row above it where that can be avoided. A label stands over
// the middle of its span, or beside it where that is clearer, between `left` and `right` (pixels)
// as far as it fits.
std::vector<DimensionPlace> dimension_rows(const std::vector<DimensionSpan>& spans, double left,
                                           double right);

}  // namespace gapwright
