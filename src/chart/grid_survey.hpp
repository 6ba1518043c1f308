// Which way a chart's grid lines and frame run: what tells that it was taken at an angle, that its
// page was bent, or that its marks are wrong.
#pragma once

#include <optional>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"

namespace gapwright {

// The lines of one direction, as fractions of the plot: a line at `across` (0 … 1) runs from
// across − slope/2 to across + slope/2, slope = tilt + fan · (across − 0.5).
struct LineFan {
    int lines = 0;     // that agree
    double tilt = 0;   // how far they run off the axes' marks, as a fraction of the plot
    double fan = 0;    // how much more the last line does than the first: 0 where all are parallel
    double sag = 0;    // how far a line bends off its straight, fraction of the plot, median
    double angle = 0;  // radians between the plot's first and last line
    std::vector<double> places = {};  // of the lines across the plot, 0 … 1, ascending
};

// Nothing where fewer than three lines agree, or two at the plot's borders.
struct GridSurvey {
    std::optional<LineFan> level = std::nullopt;    // lines of constant y
    std::optional<LineFan> upright = std::nullopt;  // lines of constant x
};

// `darkness`: of the picture; `scale` affine.
GridSurvey survey_grid(const Plane& darkness, const ChartScale& scale, const ChartArea& area);

// How lines lie along the axis that they cross.
enum class LineSpacing {
    unknown,  // fewer than five lines
    even,     // in whole steps, as on a linear axis, or one a decade
    uneven,   // as the lines of a decade lie
};
LineSpacing spacing_of(const std::optional<LineFan>& fan);

// What the survey says of readings made with that scale: how far off they are at a place, in
// fractions of the plot. `anchor`: the fractions at which the marks of y (its x) and of x (its y)
// stand, where readings are right.
ChartPoint reading_off(const GridSurvey& survey, ChartPoint fraction, ChartPoint anchor);

}  // namespace gapwright
