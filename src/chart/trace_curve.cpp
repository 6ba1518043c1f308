#include "chart/trace_curve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <optional>
#include <stop_token>
#include <string>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/curve_walk.hpp"
#include "chart/ink_map.hpp"
#include "chart/legend_samples.hpp"
#include "chart/paper_tone.hpp"
#include "chart/raster.hpp"
#include "chart/ready_chart.hpp"
#include "chart/seeded_path.hpp"
#include "chart/smooth_path.hpp"
#include "chart/stroke.hpp"
#include "chart/working_picture.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double least_length = 0.06;  // of the plot's longer side
constexpr double least_coverage = 0.35;
constexpr double straight_line = 0.8;  // px from end to end along an axis
constexpr double near_sample = 5;      // px
constexpr double coloured = 0.25;      // of an ink's contrast: grids and frames are grey or black
constexpr std::int64_t most_looks = 60'000'000;

std::unexpected<Problems> refused(Cause cause, std::string message, std::string remedy) {
    Diagnostic diagnostic{.cause = cause, .place = {}, .message = {}, .remedy = {}};
    diagnostic.message = std::move(message);
    diagnostic.remedy = std::move(remedy);
    return std::unexpected(only(std::move(diagnostic)));
}

std::unexpected<Problems> untraceable(std::string message, std::string remedy) {
    return refused(Cause::untraceable, std::move(message), std::move(remedy));
}

// "at 1.2 V, 10 mA (pixel 310, 220)"; the pixel is one of the picture as it was given.
std::string place(const ReadyChart& chart, PixelPoint pixel) {
    const ChartPoint value = chart.scale.to_value(pixel);
    const std::string words = chart.setting.words
                                  ? chart.setting.words(value)
                                  : fmt::format("x = {:.3g}, y = {:.3g}", value.x, value.y);
    return fmt::format("{} (pixel {:.0f}, {:.0f})", words, pixel.x, pixel.y);
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

// Ends of a path that run along a border of the plot, next to it: there the frame was followed, or
// the curve cannot be told from it.
struct LeftFrame {
    bool first = false, last = false;  // whether something was taken off that end
};
LeftFrame leave_frame(std::vector<PathPoint>& path, const ChartScale& scale,
                      const ChartArea& area) {
    constexpr double beside = 3.5;     // px
    constexpr double parallel = 0.14;  // sine of the angle: 8°
    const auto corner = [&](bool right, bool top) {
        return scale.from_fraction(
            {.x = right ? area.high.x : area.low.x, .y = top ? area.high.y : area.low.y});
    };
    const std::pair<PixelPoint, PixelPoint> borders[] = {
        {corner(false, false), corner(true, false)},
        {corner(false, true), corner(true, true)},
        {corner(false, false), corner(false, true)},
        {corner(true, false), corner(true, true)}};
    const auto by_frame = [&](const PathPoint& point) {
        return std::ranges::any_of(borders, [&](const auto& border) {
            const auto& [from, to] = border;
            const double dx = to.x - from.x, dy = to.y - from.y, size = std::hypot(dx, dy);
            const double aside = ((point.at.x - from.x) * dy - (point.at.y - from.y) * dx) / size;
            const double turn = (point.heading.x * dy - point.heading.y * dx) / size;
            return std::abs(aside) < beside && std::abs(turn) < parallel;
        });
    };
    constexpr std::size_t counts = 3;  // points of 2 px: less is how a curve ends at a border
    LeftFrame left;
    std::size_t taken = 0;
    while (!path.empty() && by_frame(path.back())) {
        path.pop_back();
        ++taken;
    }
    left.last = taken > counts;
    const auto first = std::ranges::find_if_not(path, by_frame);
    left.first = first - path.begin() > static_cast<std::ptrdiff_t>(counts);
    path.erase(path.begin(), first);
    return left;
}

CurveEnd end_of(WalkEnd end) {
    if (end == WalkEnd::fork) return CurveEnd::fork;
    return end == WalkEnd::border ? CurveEnd::border : CurveEnd::ink;
}

// A path in the working picture as one in the picture as it was given.
std::vector<PathPoint> in_picture(const std::vector<PathPoint>& path, const WorkingPicture& work) {
    std::vector<PathPoint> result = path;
    for (std::size_t k = 0; k < path.size(); ++k) {
        PathPoint& point = result[k];
        point.at = mapped(work.to_picture, path[k].at);
        const PixelPoint ahead = mapped(work.to_picture, moved(path[k].at, path[k].heading, 0.5));
        const PixelPoint behind = mapped(work.to_picture, moved(path[k].at, path[k].heading, -0.5));
        const double size = std::hypot(ahead.x - behind.x, ahead.y - behind.y);
        point.heading = {.x = (ahead.x - behind.x) / size, .y = (ahead.y - behind.y) / size};
        const PixelPoint left =
            mapped(work.to_picture, moved(path[k].at, path[k].heading, 0, -0.5));
        const PixelPoint right =
            mapped(work.to_picture, moved(path[k].at, path[k].heading, 0, 0.5));
        point.error *= std::hypot(right.x - left.x, right.y - left.y);
        if (k > 0) {
            const PixelPoint last = result[k - 1].at;
            point.way = result[k - 1].way + std::hypot(point.at.x - last.x, point.at.y - last.y);
        } else {
            point.way = 0;
        }
    }
    return result;
}

TracedCurve curve_of(const std::vector<PathPoint>& path, const ChartScale& scale, CurveEnd first,
                     CurveEnd last) {
    constexpr double flattest = 0.02;  // errors at a fixed x or y grow to 50 times, not beyond
    TracedCurve curve;
    curve.first_end = first;
    curve.last_end = last;
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

// Ink of one tone with neither grid nor legends: what those hide is not trusted.
CurveInk curve_ink(const ReadyChart& chart, const InkTone& tone) {
    CurveInk ink = without_grid(ink_like(chart.tones, tone), chart.work.scale, chart.area);
    for (const Legend& legend : chart.legends) {
        const PixelBox& box = legend.whole;
        const int right = std::min(ink.ink.width() - 1, static_cast<int>(box.right));
        const int bottom = std::min(ink.ink.height() - 1, static_cast<int>(box.bottom));
        for (int y = std::max(0, static_cast<int>(box.top)); y <= bottom; ++y) {
            for (int x = std::max(0, static_cast<int>(box.left)); x <= right; ++x) {
                ink.ink.at(x, y) = 0;
                ink.trust.at(x, y) = 0;
            }
        }
    }
    return ink;
}

std::optional<StrokeStart> start_of(const ReadyChart& chart, const CurveInk& ink, PixelPoint seed,
                                    WalkBudget& budget) {
    if (const auto start = stroke_at(ink, seed)) return start;
    return start_near({.ink = ink,
                       .scale = chart.work.scale,
                       .area = chart.area,
                       .legends = chart.legends,
                       .budget = budget},
                      seed);
}

}  // namespace

Expected<TracedCurve> trace_curve(const ReadyChart& chart, const std::vector<PixelPoint>& seeds,
                                  const std::stop_token& stop) {
    if (seeds.empty()) {
        return refused(Cause::out_of_range, "no place on the curve is given",
                       "point at one clear place of the curve");
    }
    const WorkingPicture& work = chart.work;
    std::vector<PixelPoint> places;  // of the working picture
    for (const PixelPoint& seed : seeds) {
        const PixelPoint at = work.from_picture(seed);
        const bool inside = at.x >= 0 && at.y >= 0 && at.x < work.raster.width &&
                            at.y < work.raster.height &&
                            chart.area.holds(work.scale.to_fraction(at));
        if (!inside) {
            return refused(Cause::out_of_range,
                           fmt::format("the place at pixel {:.0f}, {:.0f} is outside of the plot",
                                       seed.x, seed.y),
                           "point at the curve between the axes");
        }
        for (const Legend& legend : chart.legends) {
            for (const PixelBox& sample : legend.samples) {
                if (!sample.holds(at, near_sample)) continue;
                return untraceable(
                    fmt::format("what lies at {} is a legend's sample, not a curve: a short level "
                                "stroke with text beside it",
                                place(chart, seed)),
                    "point at the curve itself, which the sample shows the look of");
            }
        }
        places.push_back(at);
    }
    const std::string here = place(chart, seeds.front());
    const auto tone = tone_near(chart.tones, places.front());
    if (!tone) {
        return untraceable(fmt::format("there is no ink at {}", here),
                           "point at the middle of the curve's line");
    }
    WalkBudget budget{.looks = most_looks, .stop = stop};
    auto ink = curve_ink(chart, widest_tone(*tone));
    auto start = start_of(chart, ink, places.front(), budget);
    if (start) {
        // The stroke itself tells its tone, and how much that varies.
        ink = curve_ink(chart, tone_along(chart.tones, start->at, start->heading));
        start = start_of(chart, ink, places.front(), budget);
    }
    if (!start) {
        return untraceable(
            fmt::format("at {} there is no single clear line that is not grid", here),
            "point at a stretch of the curve that stands free of grid lines, texts and other "
            "curves");
    }
    const SeededPath path = path_from({.ink = ink,
                                       .scale = work.scale,
                                       .area = chart.area,
                                       .legends = chart.legends,
                                       .budget = budget},
                                      *start, places);
    if (stop.stop_requested()) return untraceable("reading was stopped", {});
    if (budget.spent) {
        return untraceable(
            fmt::format("the line at {} is hidden or broken in too many places to be followed",
                        here),
            "use a sharper picture with less noise, or point at a clearer stretch");
    }
    if (path.first_end == WalkEnd::too_long || path.last_end == WalkEnd::too_long) {
        return untraceable(fmt::format("the line at {} runs in circles", here),
                           "point at another place of the curve");
    }
    const PixelPoint wide = work.scale.x_direction(), high = work.scale.y_direction();
    const double side =
        std::max(std::hypot(wide.x, wide.y) * (chart.area.high.x - chart.area.low.x),
                 std::hypot(high.x, high.y) * (chart.area.high.y - chart.area.low.y));
    if (path.seen.size() < 8 ||
        path.seen.back().way - path.seen.front().way < least_length * side) {
        return untraceable(
            fmt::format("the line at {} is too short for a curve", here),
            "point at another place of the curve, or use a larger and sharper picture");
    }
    const double coverage = covered(path.seen);
    if (coverage < least_coverage) {
        return untraceable(
            fmt::format("of the line at {} only {:.0f} % is to be seen", here, 100 * coverage),
            "use a larger and sharper picture");
    }
    for (std::size_t k = 0; k < places.size(); ++k) {
        if (distance_from(path.seen, places[k]) > seed_distance) {
            return untraceable(
                fmt::format("the line at {} does not lead to {}", here, place(chart, seeds[k])),
                "give further places between them, or check that both are on one curve");
        }
    }
    auto smooth = smooth_path(path.seen, path.look);
    const LeftFrame left = leave_frame(smooth, work.scale, chart.area);
    const double chroma = std::hypot((*tone)[1], (*tone)[2]) / std::sqrt(dot(*tone, *tone));
    if (smooth.size() < 5 || (chroma < coloured && is_rule(smooth, work.scale))) {
        return untraceable(fmt::format("the line at {} is straight along an axis, as a grid line, "
                                       "frame or rule is",
                                       here),
                           "point where the curve bends; one that is level all along needs no "
                           "chart: type its value "
                           "as a point");
    }
    TracedCurve curve = curve_of(in_picture(smooth, work), chart.scale,
                                 left.first ? CurveEnd::frame : end_of(path.first_end),
                                 left.last ? CurveEnd::frame : end_of(path.last_end));
    curve.coverage = coverage;
    curve.line_width = work.step * path.look.area / std::max(0.3, path.look.peak);
    return curve;
}

Expected<TracedCurve> trace_curve(const Raster& raster, const ChartScale& scale,
                                  const TraceRequest& request) {
    ChartSetting setting;
    if (request.corner && request.opposite) setting.corners = {*request.corner, *request.opposite};
    const auto chart = ready_chart(raster, scale, setting);
    if (!chart) return std::unexpected(chart.error());
    return trace_curve(*chart, request.seeds);
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
