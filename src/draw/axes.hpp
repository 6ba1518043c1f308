// Axes of a plot: a rectangle of paper, ticks at 1-2-5, units, values to places.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "draw/picture.hpp"
#include "units/dimension.hpp"

namespace gapwright {

struct AxisRange {
    double low = 0;   // inner unit of the dimension
    double high = 1;  // above low
    Dimension dimension = Dimension::voltage;
    std::string label;         // "collector–emitter voltage"
    bool logarithmic = false;  // then low is above zero
};

// Tick values from low to high: steps of 1, 2 or 5 times a power of ten, about `wanted` of them;
// decades when logarithmic.
std::vector<double> tick_values(const AxisRange& axis, int wanted);

class Axes {
  public:
    Axes(AxisRange x, AxisRange y, const Box& paper)
        : x_(std::move(x)), y_(std::move(y)), paper_(paper) {}

    Point at(double x, double y) const;  // clamped to the paper
    const Box& paper() const { return paper_; }

    // Grid, ticks, units and labels.
    void draw(Picture& picture) const;
    // A curve through points given in the axes' units; parts beyond the paper lie on its edge.
    void curve(Picture& picture, const std::vector<Point>& points, std::string_view css) const;

  private:
    AxisRange x_;
    AxisRange y_;
    Box paper_;
};

}  // namespace gapwright
