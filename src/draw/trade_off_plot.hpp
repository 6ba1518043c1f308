// What one value costs: curves against a part's value, the bound on them, and the value chosen.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/picture.hpp"
#include "draw/plots.hpp"

namespace gapwright {

// Ground beyond the bound is forbidden: above it, or below it if it bounds from below.
struct TradeOffBound {
    double y = 0;
    std::string label;  // "at most 5 %"
    bool at_least = false;
};

// The values that keep every promise.
struct TradeOffRange {
    double from = 0;  // in the x axis' unit
    double to = 0;    // not below `from`
};

struct TradeOffPlot {
    std::string title;
    AxisRange x;                    // a part's value, as a rule logarithmic
    AxisRange y;                    // what it is to be traded against
    std::vector<PlotCurve> curves;  // x not falling
    std::optional<TradeOffBound> bound;
    // Values chosen or offered: a point, and a line down to the x axis.
    std::vector<PlotMark> marks;
    std::optional<TradeOffRange> kept;
};
Picture draw_trade_off(const TradeOffPlot& plot);

}  // namespace gapwright
