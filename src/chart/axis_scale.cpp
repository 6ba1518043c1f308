#include "chart/axis_scale.hpp"

#include <fmt/format.h>

#include <cmath>
#include <expected>
#include <limits>
#include <string>
#include <string_view>
#include <utility>
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

Diagnostic wrong_axis(Cause cause, std::string message, std::string remedy) {
    Diagnostic diagnostic{.cause = cause, .place = {}, .message = {}, .remedy = {}};
    diagnostic.message = std::move(message);
    diagnostic.remedy = std::move(remedy);
    return diagnostic;
}

PixelPoint difference(PixelPoint a, PixelPoint b) {
    return {.x = a.x - b.x, .y = a.y - b.y};
}

double cross(PixelPoint a, PixelPoint b) {
    return a.x * b.y - a.y * b.x;
}

void check_axis(const AxisScale& axis, std::string_view name, Problems& problems) {
    for (const AxisMark& mark : {axis.first, axis.second}) {
        if (!std::isfinite(mark.value) || !std::isfinite(mark.at.x) || !std::isfinite(mark.at.y)) {
            problems.push_back(wrong_axis(Cause::out_of_range,
                                          fmt::format("a mark of the {} axis is not finite", name),
                                          "give a place in pixels and a plain number"));
        } else if (axis.logarithmic && mark.value <= 0) {
            problems.push_back(wrong_axis(
                Cause::out_of_range,
                fmt::format("the logarithmic {} axis has a mark at {}", name, mark.value),
                "a logarithmic axis has values above zero only; take another mark or call the axis "
                "linear"));
        }
    }
    if (!problems.empty()) return;
    const PixelPoint step = difference(axis.second.at, axis.first.at);
    if (std::hypot(step.x, step.y) < 8) {  // own choice: half a pixel would be six percent
        problems.push_back(wrong_axis(
            Cause::contradiction,
            fmt::format("the two marks of the {} axis are in one place", name),
            "take two marks far from each other, best the first and the last of the axis"));
    }
    if (axis.first.value == axis.second.value) {
        problems.push_back(wrong_axis(
            Cause::contradiction,
            fmt::format("both marks of the {} axis have the value {}", name, axis.first.value),
            "give each mark the value that is printed beside it"));
    }
}

double to_axis(const AxisScale& axis, double fraction) {
    if (axis.logarithmic) {
        return axis.first.value * std::pow(axis.second.value / axis.first.value, fraction);
    }
    return axis.first.value + (axis.second.value - axis.first.value) * fraction;
}

double from_axis(const AxisScale& axis, double value) {
    if (axis.logarithmic) {
        if (value <= 0) return std::numeric_limits<double>::quiet_NaN();
        return std::log(value / axis.first.value) / std::log(axis.second.value / axis.first.value);
    }
    return (value - axis.first.value) / (axis.second.value - axis.first.value);
}

double slope(const AxisScale& axis, double value) {
    return std::abs(axis.logarithmic ? value * std::log(axis.second.value / axis.first.value)
                                     : axis.second.value - axis.first.value);
}

}  // namespace

Expected<ChartScale> ChartScale::make(const AxisScale& x, const AxisScale& y) {
    Problems problems;
    check_axis(x, "x", problems);
    Problems of_y;
    check_axis(y, "y", of_y);
    problems.insert(problems.end(), of_y.begin(), of_y.end());
    if (!problems.empty()) return std::unexpected(std::move(problems));

    ChartScale scale;
    scale.x_ = x;
    scale.y_ = y;
    scale.along_x_ = difference(x.second.at, x.first.at);
    scale.along_y_ = difference(y.second.at, y.first.at);
    const double area = cross(scale.along_x_, scale.along_y_);
    const double lengths = std::hypot(scale.along_x_.x, scale.along_x_.y) *
                           std::hypot(scale.along_y_.x, scale.along_y_.y);
    if (std::abs(area) < 0.342 * lengths) {  // sine of 20°
        return std::unexpected(
            only(wrong_axis(Cause::contradiction, "the two axes run almost in one direction",
                            "take the x axis' marks along the x axis and the y axis' along the y "
                            "axis")));
    }
    // The line of the first x value runs along the y axis, that of the first y value along x.
    const double steps = cross(difference(y.first.at, x.first.at), scale.along_x_) /
                         cross(scale.along_y_, scale.along_x_);
    scale.origin_ = {.x = x.first.at.x + steps * scale.along_y_.x,
                     .y = x.first.at.y + steps * scale.along_y_.y};
    return scale;
}

ChartPoint ChartScale::to_fraction(PixelPoint pixel) const {
    const PixelPoint from = difference(pixel, origin_);
    const double area = cross(along_x_, along_y_);
    return {.x = cross(from, along_y_) / area, .y = cross(along_x_, from) / area};
}

PixelPoint ChartScale::from_fraction(ChartPoint fraction) const {
    return {.x = origin_.x + fraction.x * along_x_.x + fraction.y * along_y_.x,
            .y = origin_.y + fraction.x * along_x_.y + fraction.y * along_y_.y};
}

ChartPoint ChartScale::to_value(PixelPoint pixel) const {
    const ChartPoint fraction = to_fraction(pixel);
    return {.x = to_axis(x_, fraction.x), .y = to_axis(y_, fraction.y)};
}

PixelPoint ChartScale::to_pixel(ChartPoint value) const {
    return from_fraction({.x = from_axis(x_, value.x), .y = from_axis(y_, value.y)});
}

double ChartScale::x_slope(double value) const {
    return slope(x_, value);
}

double ChartScale::y_slope(double value) const {
    return slope(y_, value);
}

}  // namespace gapwright
