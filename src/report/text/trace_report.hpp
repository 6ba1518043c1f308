// What reading a chart's picture came to, as text, JSON, and the picture with what was read on it.
#pragma once

#include <string>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/raster.hpp"
#include "chart/trace_curve.hpp"
#include "units/dimension.hpp"

namespace gapwright {

struct NamedTrace {
    std::string name;  // "1", or what the curve was measured at
    TracedCurve curve;
    std::vector<TracedPoint> points;  // those that are kept
};

// Which quantity runs along each axis, and the unit in which people read it.
struct TraceAxes {
    std::string x;
    std::string y;
    Dimension x_dimension = Dimension::voltage;
    Dimension y_dimension = Dimension::current;
    AxisScale x_scale = {};
    AxisScale y_scale = {};
};

std::string trace_text(const TraceAxes& axes, const std::vector<NamedTrace>& traces);
std::string trace_json(const TraceAxes& axes, const std::vector<NamedTrace>& traces);

// An SVG of the picture's own size: the picture (the bytes of its file, PNG or JPEG), the marks of
// its axes with their values, every traced curve as a line and its points as dots.
std::string trace_overlay(const Raster& raster, const std::string& picture, const TraceAxes& axes,
                          const std::vector<NamedTrace>& traces);

}  // namespace gapwright
