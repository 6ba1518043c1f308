// A curve read from a chart as measured points of a part.
#pragma once

#include <functional>
#include <map>
#include <string>
#include <vector>

#include "card/points.hpp"
#include "chart/trace_curve.hpp"

namespace gapwright {

// `x` and `y` are names of point quantities, `settings` what held for the whole curve, `number`
// which of the chart's curves it is, from 1. A point's uncertainty is that of the measured one of
// the two quantities, as a share of it; so is what it shares with all points of the chart.
std::vector<MeasuredPoint> measured_points(
    const std::vector<TracedPoint>& traced, const std::string& x, const std::string& y,
    const std::map<std::string, double, std::less<>>& settings, int number);

}  // namespace gapwright
