// Curves against time or another x that only grows, as plots draw them.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "draw/axes.hpp"
#include "draw/picture.hpp"

namespace gapwright {

// The part of a curve whose x lies from `low` to `high`, with ends interpolated there; points that
// are not finite are left out. x must not fall along the curve.
std::vector<Point> cut(const std::vector<Point>& curve, double low, double high);

// The curve's y at x, interpolated; nothing outside its span. At a step, the value before it.
std::optional<double> value_at(const std::vector<Point>& curve, double x);

// Fewer points, none of those left out further than a tenth of a pixel from the line drawn. For
// linear axes.
std::vector<Point> thinned(const std::vector<Point>& curve, const Axes& axes);

// The point of a run of pixels that lies nearest to `p`; `p` itself where there is none.
Point nearest_on(const std::vector<Point>& pixels, const Point& p);

// A curve already cut to the x axis; a single point is drawn as a dot.
void draw_trace(Picture& picture, const Axes& axes, const std::vector<Point>& curve,
                std::string_view css);

}  // namespace gapwright
