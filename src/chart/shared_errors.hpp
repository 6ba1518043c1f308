// What marks and the picture's perspective do to all points of a chart alike.
#pragma once

#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/chart_marks.hpp"
#include "chart/ready_chart.hpp"
#include "chart/trace_curve.hpp"

namespace gapwright {

// Own choice: a person's mark, or a line found beside it, is so far from the true place, standard
// uncertainty along each of the picture's axes, px.
inline constexpr double usual_mark_error = 0.7;

// Sets the shared errors of every point: what marks that are `mark_error` px off
// do to it, and what the grid says of the scale, together. `marks`: those of which scale_of_marks
// made the chart's scale.
void add_shared_errors(TracedCurve& curve, const ReadyChart& chart,
                       const std::vector<ChartMark>& marks, double mark_error);

// Where marks of y (x) and of x (y) stand on an average, in fractions of the scale.
ChartPoint anchor_of(const ChartScale& scale, const std::vector<ChartMark>& marks);

}  // namespace gapwright
