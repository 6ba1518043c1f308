// Axes of a plot: a rectangle of paper, ticks at 1-2-5, units, values to places.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "draw/picture.hpp"
#include "units/dimension.hpp"

namespace gapwright {

struct AxisRange {
    double low = 0;   // inner unit of the dimension
    double high = 1;  // above low; `Axes` widens a range that has no length
    Dimension dimension = Dimension::voltage;
    std::string label;         // "collector–emitter voltage"
    bool logarithmic = false;  // then low is above zero
    bool percent = false;      // of a ratio: its ticks read "5 %"
};

// The range itself where both ends are finite, apart, and above zero if it is logarithmic;
// otherwise a range with those properties that holds what was usable of it.
AxisRange usable(AxisRange axis);

// Tick values from low to high: steps of 1, 2 or 5 times a power of ten, about `wanted` of them;
// decades when logarithmic, and steps within them where a few decades leave room.
std::vector<double> tick_values(const AxisRange& axis, int wanted);

struct AxesDress {
    bool x_words = true;  // tick labels and name of the x axis: plots on one axis show them once
    double head = 0;      // pixels of paper above the top of the y axis, for dimension lines
};

class Axes {
  public:
    Axes(AxisRange x, AxisRange y, const Box& paper)
        : x_(usable(std::move(x))), y_(usable(std::move(y))), paper_(paper) {}

    Point at(double x, double y) const;  // clamped to the paper
    const Box& paper() const { return paper_; }
    const AxisRange& x() const { return x_; }  // as used: of some length
    const AxisRange& y() const { return y_; }

    // Grid, ticks, units and labels.
    void draw(Picture& picture, const AxesDress& dress = {}) const;
    // A curve through points given in the axes' units; parts beyond the paper lie on its edge.
    void curve(Picture& picture, const std::vector<Point>& points, std::string_view css) const;

  private:
    AxisRange x_;
    AxisRange y_;
    Box paper_;
};

}  // namespace gapwright
