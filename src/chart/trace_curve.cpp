#include "chart/trace_curve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <string>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/curve_walk.hpp"
#include "chart/ink_map.hpp"
#include "chart/raster.hpp"
#include "chart/seeded_path.hpp"
#include "chart/smooth_path.hpp"
#include "chart/stroke.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double largest_traced = 16e6;  // px
constexpr double least_length = 0.06;    // of the plot's longer side
constexpr double least_coverage = 0.35;
constexpr double straight_line = 0.8;  // px from end to end along an axis

std::unexpected<Problems> refused(Cause cause, std::string message, std::string remedy) {
    Diagnostic diagnostic{.cause = cause, .place = {}, .message = {}, .remedy = {}};
    diagnostic.message = std::move(message);
    diagnostic.remedy = std::move(remedy);
    return std::unexpected(only(std::move(diagnostic)));
}

std::unexpected<Problems> untraceable(std::string message, std::string remedy) {
    return refused(Cause::untraceable, std::move(message), std::move(remedy));
}

std::string place(const ChartScale& scale, PixelPoint pixel) {
    const ChartPoint value = scale.to_value(pixel);
    return fmt::format("x = {:.3g}, y = {:.3g}", value.x, value.y);
}

ChartArea area_of(const ChartScale& scale, const TraceRequest& request) {
    ChartArea area;
    if (request.corner && request.opposite) {
        const ChartPoint a = scale.to_fraction(*request.corner);
        const ChartPoint b = scale.to_fraction(*request.opposite);
        area.low = {.x = std::min(a.x, b.x), .y = std::min(a.y, b.y)};
        area.high = {.x = std::max(a.x, b.x), .y = std::max(a.y, b.y)};
    }
    return area;
}

double covered(const std::vector<SeenPoint>& seen) {
    double length = 0;
    for (std::size_t k = 0; k + 1 < seen.size(); ++k) {
        const double step = seen[k + 1].way - seen[k].way;
        if (step <= 4) length += step;
    }
    return length / std::max(1e-9, seen.back().way - seen.front().way);
}

// Whether all of it lies on one line along an axis.
bool is_rule(const std::vector<PathPoint>& path, const ChartScale& scale) {
    for (const PixelPoint& axis : {scale.x_direction(), scale.y_direction()}) {
        const double size = std::hypot(axis.x, axis.y);
        double low = 1e9, high = -1e9;
        for (const PathPoint& point : path) {
            const double aside = (point.at.x * -axis.y + point.at.y * axis.x) / size;
            low = std::min(low, aside);
            high = std::max(high, aside);
        }
        if (high - low < straight_line + 0.004 * (path.back().way - path.front().way)) return true;
    }
    return false;
}

CurveEnd end_of(WalkEnd end) {
    if (end == WalkEnd::fork) return CurveEnd::fork;
    return end == WalkEnd::border ? CurveEnd::border : CurveEnd::ink;
}

TracedCurve curve_of(const std::vector<PathPoint>& path, const ChartScale& scale, WalkEnd first,
                     WalkEnd last) {
    constexpr double flattest = 0.02;  // errors at a fixed x or y grow to 50 times, not beyond
    TracedCurve curve;
    curve.first_end = end_of(first);
    curve.last_end = end_of(last);
    std::vector<double> errors;
    for (const PathPoint& p : path) {
        TracedPoint point;
        const ChartPoint value = scale.to_value(p.at);
        point.x = value.x;
        point.y = value.y;
        point.pixel = p.at;
        point.seen = p.seen;
        // One fraction of an axis across the curve, and along the axis that is kept.
        const ChartPoint here = scale.to_fraction(p.at);
        const ChartPoint on = scale.to_fraction(moved(p.at, p.heading, 1));
        const ChartPoint off = scale.to_fraction(moved(p.at, p.heading, 0, 1));
        const double u = on.x - here.x, v = on.y - here.y;
        const double cross = std::abs(u * (off.y - here.y) - v * (off.x - here.x));
        const double size = std::hypot(u, v);
        point.error =
            p.error * cross / std::max(std::abs(u), flattest * size) * scale.y_slope(value.y);
        point.x_error =
            p.error * cross / std::max(std::abs(v), flattest * size) * scale.x_slope(value.x);
        errors.push_back(p.error);
        curve.points.push_back(point);
    }
    if (scale.to_fraction(path.front().at).x > scale.to_fraction(path.back().at).x) {
        std::ranges::reverse(curve.points);
        std::swap(curve.first_end, curve.last_end);
    }
    std::ranges::nth_element(errors,
                             errors.begin() + static_cast<std::ptrdiff_t>(errors.size() / 2));
    curve.typical_error = errors[errors.size() / 2];
    curve.length = path.back().way - path.front().way;
    return curve;
}

}  // namespace

Expected<TracedCurve> trace_curve(const Raster& raster, const ChartScale& scale,
                                  const TraceRequest& request) {
    if (double(raster.width) * raster.height > largest_traced) {
        return refused(Cause::too_large, "the picture is too large to follow curves in",
                       "cut out the chart or scale it down; 1000 pixels a side are plenty");
    }
    if (request.seeds.empty()) {
        return refused(Cause::out_of_range, "no place on the curve is given",
                       "point at one clear place of the curve");
    }
    const ChartArea area = area_of(scale, request);
    for (const PixelPoint& seed : request.seeds) {
        const bool inside = seed.x >= 0 && seed.y >= 0 && seed.x < raster.width &&
                            seed.y < raster.height && area.holds(scale.to_fraction(seed));
        if (!inside) {
            return refused(Cause::out_of_range,
                           fmt::format("the place at pixel {:.0f}, {:.0f} is outside of the plot",
                                       seed.x, seed.y),
                           "point at the curve between the axes");
        }
    }
    const PixelPoint seed = request.seeds.front();
    const auto all_ink = ink_like(raster, seed);
    if (!all_ink) {
        return untraceable(fmt::format("there is no ink at {}", place(scale, seed)),
                           "point at the middle of the curve's line");
    }
    const CurveInk ink = without_grid(*all_ink, scale, area);
    const Chart chart{.ink = ink, .scale = scale, .area = area};
    auto start = stroke_at(ink, seed);
    if (!start) start = start_near(chart, seed);
    if (!start) {
        return untraceable(
            fmt::format("at {} there is no single clear line that is not grid", place(scale, seed)),
            "point at a stretch of the curve that stands free of grid lines, texts and other "
            "curves");
    }
    const SeededPath path = path_from(chart, *start, request.seeds);
    const PixelPoint wide = scale.x_direction(), high = scale.y_direction();
    const double side = std::max(std::hypot(wide.x, wide.y) * (area.high.x - area.low.x),
                                 std::hypot(high.x, high.y) * (area.high.y - area.low.y));
    if (path.first_end == WalkEnd::too_long || path.last_end == WalkEnd::too_long) {
        return untraceable("the line runs in circles", "point at another place of the curve");
    }
    if (path.seen.size() < 8 ||
        path.seen.back().way - path.seen.front().way < least_length * side) {
        return untraceable(
            fmt::format("the line at {} is too short for a curve", place(scale, seed)),
            "point at another place of the curve, or use a larger and sharper picture");
    }
    const double coverage = covered(path.seen);
    if (coverage < least_coverage) {
        return untraceable(fmt::format("of the line at {} only {:.0f} % is to be seen",
                                       place(scale, seed), 100 * coverage),
                           "use a larger and sharper picture");
    }
    for (const PixelPoint& other : request.seeds) {
        if (distance_from(path.seen, other) > seed_distance) {
            return untraceable(
                fmt::format("the line at {} does not lead to {}", place(scale, seed),
                            place(scale, other)),
                "give further places between them, or check that both are on one curve");
        }
    }
    const auto smooth = smooth_path(path.seen, path.look);
    if (is_rule(smooth, scale)) {
        return untraceable(fmt::format("the line at {} is straight along an axis, as a grid line, "
                                       "frame or rule is",
                                       place(scale, seed)),
                           "point at the curve itself; a constant needs no chart");
    }
    TracedCurve curve = curve_of(smooth, scale, path.first_end, path.last_end);
    curve.coverage = coverage;
    curve.line_width = path.look.area / std::max(0.3, path.look.peak);
    return curve;
}

std::vector<TracedPoint> to_points(const TracedCurve& curve, int count) {
    std::vector<TracedPoint> points;
    const auto last = static_cast<double>(curve.points.size() - 1);
    for (int k = 0; k < count; ++k) {  // points of a curve are evenly spaced
        const double at = last * k / std::max(1, count - 1);
        points.push_back(curve.points[static_cast<std::size_t>(std::lround(at))]);
    }
    return points;
}

}  // namespace gapwright
