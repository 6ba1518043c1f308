#include "chart/axis_scale.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
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

double slope(const ScaleRange& axis, double value) {
    return std::abs(axis.logarithmic ? value * std::log(axis.second / axis.first)
                                     : axis.second - axis.first);
}

}  // namespace

double ScaleRange::value(double part) const {
    if (logarithmic) return first * std::pow(second / first, part);
    return first + (second - first) * part;
}

double ScaleRange::fraction(double at) const {
    if (!logarithmic) return (at - first) / (second - first);
    if (at <= 0) return std::numeric_limits<double>::quiet_NaN();
    return std::log(at / first) / std::log(second / first);
}

PixelPoint mapped(const PlaneMap& map, PixelPoint point) {
    const auto row = [&](std::size_t k) {
        return map[k][0] * point.x + map[k][1] * point.y + map[k][2];
    };
    const double w = row(2);
    if (!(w > 0)) {
        const double none = std::numeric_limits<double>::quiet_NaN();
        return {.x = none, .y = none};
    }
    return {.x = row(0) / w, .y = row(1) / w};
}

PlaneMap inverse(const PlaneMap& m) {
    PlaneMap result;
    double sum = 0;
    for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t j = 0; j < 3; ++j) {
            const std::size_t a = (j + 1) % 3, b = (j + 2) % 3, c = (i + 1) % 3, d = (i + 2) % 3;
            result[i][j] = m[a][c] * m[b][d] - m[a][d] * m[b][c];
        }
    }
    for (std::size_t k = 0; k < 3; ++k) sum += m[0][k] * result[k][0];
    for (auto& row : result) {
        for (double& entry : row) entry /= sum;
    }
    return result;
}

PlaneMap product(const PlaneMap& after, const PlaneMap& before) {
    PlaneMap result{};
    for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t j = 0; j < 3; ++j) {
            for (std::size_t k = 0; k < 3; ++k) result[i][j] += after[i][k] * before[k][j];
        }
    }
    return result;
}

Expected<ChartScale> ChartScale::make(const AxisScale& x, const AxisScale& y) {
    Problems problems;
    check_axis(x, "x", problems);
    Problems of_y;
    check_axis(y, "y", of_y);
    problems.insert(problems.end(), of_y.begin(), of_y.end());
    if (!problems.empty()) return std::unexpected(std::move(problems));

    const PixelPoint along_x = difference(x.second.at, x.first.at);
    const PixelPoint along_y = difference(y.second.at, y.first.at);
    const double area = cross(along_x, along_y);
    const double lengths = std::hypot(along_x.x, along_x.y) * std::hypot(along_y.x, along_y.y);
    if (std::abs(area) < 0.342 * lengths) {  // sine of 20°
        return std::unexpected(
            only(wrong_axis(Cause::contradiction, "the two axes run almost in one direction",
                            "take the x axis' marks along the x axis and the y axis' along the y "
                            "axis")));
    }
    // The line of the first x value runs along the y axis, that of the first y value along x.
    const double steps =
        cross(difference(y.first.at, x.first.at), along_x) / cross(along_y, along_x);
    const PixelPoint origin = {.x = x.first.at.x + steps * along_y.x,
                               .y = x.first.at.y + steps * along_y.y};
    return ChartScale(
        {.first = x.first.value, .second = x.second.value, .logarithmic = x.logarithmic},
        {.first = y.first.value, .second = y.second.value, .logarithmic = y.logarithmic},
        {{{along_x.x, along_y.x, origin.x}, {along_x.y, along_y.y, origin.y}, {0, 0, 1}}});
}

ChartScale::ChartScale(const ScaleRange& x, const ScaleRange& y, const PlaneMap& to_pixel)
    : x_(x), y_(y), to_pixel_(to_pixel), to_fraction_(inverse(to_pixel)) {}

ChartPoint ChartScale::to_fraction(PixelPoint pixel) const {
    const PixelPoint fraction = mapped(to_fraction_, pixel);
    return {.x = fraction.x, .y = fraction.y};
}

PixelPoint ChartScale::from_fraction(ChartPoint fraction) const {
    return mapped(to_pixel_, {.x = fraction.x, .y = fraction.y});
}

ChartPoint ChartScale::to_value(PixelPoint pixel) const {
    const ChartPoint fraction = to_fraction(pixel);
    return {.x = x_.value(fraction.x), .y = y_.value(fraction.y)};
}

PixelPoint ChartScale::to_pixel(ChartPoint value) const {
    return from_fraction({.x = x_.fraction(value.x), .y = y_.fraction(value.y)});
}

PixelPoint ChartScale::x_direction() const {
    return difference(from_fraction({.x = 1, .y = 0.5}), from_fraction({.x = 0, .y = 0.5}));
}

PixelPoint ChartScale::y_direction() const {
    return difference(from_fraction({.x = 0.5, .y = 1}), from_fraction({.x = 0.5, .y = 0}));
}

double ChartScale::x_slope(double value) const {
    return slope(x_, value);
}

double ChartScale::y_slope(double value) const {
    return slope(y_, value);
}

bool ChartScale::is_affine() const {
    return to_pixel_[2][0] == 0 && to_pixel_[2][1] == 0;
}

}  // namespace gapwright
