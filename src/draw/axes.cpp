#include "draw/axes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include "draw/picture.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

double share_of(const AxisRange& axis, double value) {
    const double share = axis.logarithmic
                             ? (std::log(std::max(value, axis.low)) - std::log(axis.low)) /
                                   (std::log(axis.high) - std::log(axis.low))
                             : (value - axis.low) / (axis.high - axis.low);
    return std::clamp(share, 0.0, 1.0);
}

// Steps of 1, 2 and 5 in every decade from low to high.
std::vector<double> steps_in_decades(const AxisRange& axis) {
    constexpr double slack = 1e-9;
    std::vector<double> ticks;
    const int last = static_cast<int>(std::ceil(std::log10(axis.high)));
    for (int k = static_cast<int>(std::floor(std::log10(axis.low))); k <= last; ++k) {
        for (const double factor : {1.0, 2.0, 5.0}) {
            const double tick = factor * std::pow(10.0, k);
            if (tick >= axis.low * (1 - slack) && tick <= axis.high * (1 + slack)) {
                ticks.push_back(tick);
            }
        }
    }
    return ticks;
}

// Digits with which neighbouring ticks read differently, though they be far from zero.
int digits_of(const std::vector<double>& ticks) {
    constexpr int fewest = 3;
    constexpr int most = 6;
    if (ticks.size() < 2) return fewest;
    const double largest = std::max(std::abs(ticks.front()), std::abs(ticks.back()));
    const double step = ticks[1] - ticks[0];
    return std::clamp(static_cast<int>(std::floor(std::log10(largest / step))) + 2, fewest, most);
}

std::string tick_text(const AxisRange& axis, double value, int digits) {
    return axis.percent ? percent(value, digits) : engineering_short(value, axis.dimension, digits);
}

}  // namespace

AxisRange usable(AxisRange axis) {
    constexpr double least = 1e-6;  // of the ends' own size: ticks closer together read alike
    if (!std::isfinite(axis.low)) axis.low = std::isfinite(axis.high) ? axis.high : 0;
    if (!std::isfinite(axis.high)) axis.high = axis.low;
    if (axis.low > axis.high) std::swap(axis.low, axis.high);
    if (axis.logarithmic) {
        if (axis.high <= 0) axis.high = 1;
        if (axis.low <= 0) axis.low = axis.high / 1000;
        if (axis.high < axis.low * (1 + least)) {
            axis.low /= 2;
            axis.high *= 2;
        }
        return axis;
    }
    const double size = std::max(std::abs(axis.low), std::abs(axis.high));
    if (size == 0) {
        axis.high = 1;
    } else if (axis.high - axis.low < least * size) {
        axis.low -= size / 10;
        axis.high += size / 10;
    }
    return axis;
}

std::vector<double> tick_values(const AxisRange& axis, int wanted) {
    std::vector<double> ticks;
    if (axis.logarithmic && std::log10(axis.high / axis.low) * 3 <= wanted + 1) {
        ticks = steps_in_decades(axis);
        if (ticks.size() > 2) return ticks;
        ticks.clear();  // so short a range is nearly even: the steps below
    } else if (axis.logarithmic) {
        const int first = static_cast<int>(std::ceil(std::log10(axis.low) - 1e-9));
        const int last = static_cast<int>(std::floor(std::log10(axis.high) + 1e-9));
        const int step = std::max(1, (last - first) / std::max(1, wanted));
        for (int k = first; k <= last; k += step) ticks.push_back(std::pow(10.0, k));
        return ticks;
    }
    // Temperatures are read in °C, at 25 and 50 as well as at 20 and 40.
    const bool celsius = axis.dimension == Dimension::temperature;
    const double zero = celsius ? 273.15 : 0;
    const double rough = (axis.high - axis.low) / std::max(1, wanted);
    const double decade = std::pow(10.0, std::floor(std::log10(rough)));
    double step = 10 * decade;
    for (const double factor : {5.0, 2.5, 2.0, 1.0}) {
        if (factor == 2.5 && !(celsius && decade >= 10)) continue;
        if (factor * decade >= rough * 0.999) step = factor * decade;
    }
    const double first = std::ceil((axis.low - zero) / step - 1e-9);
    for (double k = first; k * step + zero <= axis.high + 1e-9 * step; k += 1) {
        ticks.push_back(k * step + zero);
    }
    return ticks;
}

Point Axes::at(double x, double y) const {
    return {std::lerp(paper_.left, paper_.right, share_of(x_, x)),
            std::lerp(paper_.bottom, paper_.top, share_of(y_, y))};
}

void Axes::draw(Picture& picture, const AxesDress& dress) const {
    constexpr double size = 11;
    constexpr double x_room = 72;
    constexpr double y_room = 48;
    const double top = paper_.top - dress.head;
    const int x_wanted = std::max(2, static_cast<int>((paper_.right - paper_.left) / x_room));
    const int y_wanted = std::max(2, static_cast<int>((paper_.bottom - paper_.top) / y_room));
    const auto x_ticks = tick_values(x_, x_wanted);
    for (const double v : x_ticks) {
        const double x = at(v, y_.low).x;
        picture.line({{x, top}, {x, paper_.bottom}}, "grid");
        if (!dress.x_words) continue;
        picture.text({x, paper_.bottom + 18}, tick_text(x_, v, digits_of(x_ticks)), "small",
                     Anchor::middle, size);
    }
    const auto y_ticks = tick_values(y_, y_wanted);
    for (const double v : y_ticks) {
        const double y = at(x_.low, v).y;
        picture.line({{paper_.left, y}, {paper_.right, y}}, "grid");
        picture.text({paper_.left - 6, y + 4}, tick_text(y_, v, digits_of(y_ticks)), "small",
                     Anchor::end, size);
    }
    picture.rectangle({paper_.left, top, paper_.right, paper_.bottom}, "thin");
    if (dress.x_words) {
        picture.text({paper_.right, paper_.bottom + 36}, x_.label, "small", Anchor::end, size);
    }
    picture.text({paper_.left, top - 8}, y_.label, "small", Anchor::start, size);
}

void Axes::curve(Picture& picture, const std::vector<Point>& points, std::string_view css) const {
    // Runs between points that both lie beyond the same edge are left out, so that a curve ends at
    // the edge and does not run along it.
    const auto beyond = [&](const Point& p) { return p.y > y_.high ? 1 : p.y < y_.low ? -1 : 0; };
    std::string d;
    bool pen_down = false;
    for (std::size_t k = 0; k + 1 < points.size(); ++k) {
        const int from = beyond(points[k]);
        const int to = beyond(points[k + 1]);
        if (from != 0 && from == to) {
            pen_down = false;
            continue;
        }
        const auto at_edge = [&](const Point& inside, const Point& outside) {
            const double edge = outside.y > y_.high ? y_.high : y_.low;
            const double share = (edge - inside.y) / (outside.y - inside.y);
            return at(std::lerp(inside.x, outside.x, share), edge);
        };
        const Point a =
            from == 0 ? at(points[k].x, points[k].y) : at_edge(points[k + 1], points[k]);
        const Point b =
            to == 0 ? at(points[k + 1].x, points[k + 1].y) : at_edge(points[k], points[k + 1]);
        if (!pen_down) d += fmt::format("M{:.1f} {:.1f}", a.x, a.y);
        d += fmt::format("L{:.1f} {:.1f}", b.x, b.y);
        pen_down = to == 0;
    }
    if (!d.empty()) picture.path(d, css);
}

}  // namespace gapwright
