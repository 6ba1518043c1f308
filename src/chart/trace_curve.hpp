// One curve of a chart's picture into points with errors.
//
// The curve is followed from where a person pointed at it, in both directions, through grid lines,
// crossings, dashes and labels. Whatever cannot be followed with certainty is an error with its
// reason; a wrong curve is worse than none.
#pragma once

#include <optional>
#include <stop_token>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/raster.hpp"
#include "chart/ready_chart.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

struct TraceRequest {
    // Places on the curve, in pixels, each within 3 px of it. With several the path must go through
    // all of them, which settles where curves cross.
    std::vector<PixelPoint> seeds = {};
    // Two opposite corners of the plot, in pixels; without them the rectangle between the marks of
    // the axes.
    std::optional<PixelPoint> corner = std::nullopt;
    std::optional<PixelPoint> opposite = std::nullopt;
};

struct TracedPoint {
    double x = 0;        // in the x axis' unit
    double y = 0;        // in the y axis' unit
    double error = 0;    // standard uncertainty of y at this x, in the y axis' unit
    double x_error = 0;  // standard uncertainty of x at this y, in the x axis' unit; the better
                         // one where the curve is steep
    // The same of what all points of the chart have in common; set by add_shared_errors.
    double shared_error = 0;
    double shared_x_error = 0;
    double shared_share = 0;  // the same across the curve, as a part of the plot
    PixelPoint pixel = {};
    bool seen = true;  // false: bridged, where a label, a line or a gap hides the curve
};

// Why a curve's points end where they do.
enum class CurveEnd {
    ink,     // the line ends there, with paper ahead
    border,  // the plot's border
    frame,   // beside the plot's border, along which it runs on and cannot be told from it
    fork,    // lines part or touch there, or a text hides it, and the seeds do not tell where the
             // curve is; it may go on: a further seed behind that place tells
};

struct TracedCurve {
    std::vector<TracedPoint> points = {};  // along the curve, about 2 px apart, lowest x end first
    CurveEnd first_end = CurveEnd::ink;
    CurveEnd last_end = CurveEnd::ink;
    double length = 0;         // px along the curve
    double coverage = 0;       // 0 … 1: part of the length where the curve was seen, not bridged
    double line_width = 0;     // px
    double typical_error = 0;  // median of points' standard uncertainty across the curve, px
};

// Errors, each with the place as the chart's setting words it and its pixel: untraceable where
// there is no ink or no clean stroke at a seed, it lies on a legend's sample, a seed is not on the
// path from another one, the curve is short (own choice: 6 % of the plot's longer side), hardly
// seen (less than 35 % of its length), is a straight line along an axis, as grid lines, frames and
// rules are, is hidden in more places than are looked behind, or a stop was asked for; out_of_range
// for seeds outside of the plot. `seeds` as of a request.
Expected<TracedCurve> trace_curve(const ReadyChart& chart, const std::vector<PixelPoint>& seeds,
                                  const std::stop_token& stop = {});

// Of one curve alone. Also the errors of ready_chart.
Expected<TracedCurve> trace_curve(const Raster& raster, const ChartScale& scale,
                                  const TraceRequest& request);

// `count` points (at least 2) evenly along the curve in the picture, the ends among them.
std::vector<TracedPoint> to_points(const TracedCurve& curve, int count);

}  // namespace gapwright
