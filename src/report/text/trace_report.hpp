// What reading a chart's picture came to, as text, JSON, and the picture with what was read on it.
#pragma once

#include <string>
#include <vector>

#include "chart/raster.hpp"
#include "chart/trace_curve.hpp"
#include "report/words/trace_words.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

struct NamedTrace {
    std::string name;  // "1", or with what the curve was measured at
    int number = 1;    // of the curves asked for
    TracedCurve curve;
    std::vector<TracedPoint> points;  // those that are kept
};

struct FailedTrace {
    std::string name;
    int number = 1;
    Diagnostic problem;
};

std::string trace_text(const TraceAxes& axes, const std::vector<NamedTrace>& traces);
std::string trace_json(const TraceAxes& axes, const std::vector<NamedTrace>& traces,
                       const std::vector<FailedTrace>& failed);

// An SVG of the picture's own size: the picture (the bytes of its file, PNG or JPEG), the marks of
// its axes with their values, every traced curve as a line and its points as dots.
std::string trace_overlay(const Raster& raster, const std::string& picture, const TraceAxes& axes,
                          const std::vector<NamedTrace>& traces);

}  // namespace gapwright
