#include "chart/trace_curve.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <utility>

#include "chart/curve_walk.hpp"
#include "chart/smooth_path.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double largest_traced = 16e6;  // px
constexpr double seed_distance = 6;      // px from the path to a seed that lies on it
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

struct Path {
    std::vector<SeenPoint> seen = {};
    StrokeLook look = {};
    WalkEnd first_end = WalkEnd::ink_ends;
    WalkEnd last_end = WalkEnd::ink_ends;
};

double distance(const std::vector<SeenPoint>& seen, PixelPoint at) {
    double nearest = 1e9;
    for (std::size_t k = 0; k + 1 < seen.size(); ++k) {
        const PixelPoint a = seen[k].at, b = seen[k + 1].at;
        const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
        const double t =
            length > 0 ? std::clamp(((at.x - a.x) * dx + (at.y - a.y) * dy) / length, 0.0, 1.0) : 0;
        nearest = std::min(nearest, std::hypot(at.x - a.x - t * dx, at.y - a.y - t * dy));
    }
    return nearest;
}

struct Chart {
    const CurveInk& ink;
    const ChartScale& scale;
    const ChartArea& area;
};

// Which of the seeds a walk passes: a bit for each of the first 32.
std::uint32_t passed(const std::vector<SeenPoint>& seen, const std::vector<PixelPoint>& seeds) {
    std::uint32_t bits = 0;
    for (std::size_t k = 0; k < std::min<std::size_t>(32, seeds.size()); ++k) {
        if (distance(seen, seeds[k]) <= seed_distance) bits |= 1U << k;
    }
    return bits;
}

// A walk that stops at the first fork, or, where other seeds lie beyond, those that pass forks one
// way or the other.
struct Candidate {
    Walk walk = {};
    std::uint32_t passes = 0;
};

std::vector<Candidate> candidates(const Chart& chart, const StrokeLook& look,
                                  const std::vector<SeenPoint>& first,
                                  const std::vector<PixelPoint>& seeds) {
    std::vector<Candidate> found;
    const auto add = [&](const WalkChoice& choice) {
        Candidate made;
        made.walk = walk_curve(chart.ink, chart.scale, chart.area, look, first, choice);
        made.passes = passed(made.walk.seen, seeds);
        const int forks = made.walk.forks;
        found.push_back(std::move(made));
        return forks;
    };
    add({.stop = true});
    if (seeds.size() < 2) return found;
    const int forks = std::min(8, add({.stop = false}));  // own choice: 38 walks at most
    for (int a = 0; a < forks; ++a) {
        add({.stop = false, .other = {a}});
        for (int b = a + 1; b < forks; ++b) add({.stop = false, .other = {a, b}});
    }
    return found;
}

// Cuts a walk that passed forks behind the last seed that it passes: what lies beyond is a guess.
void cut_behind_seeds(Candidate& candidate, const std::vector<PixelPoint>& seeds) {
    Walk& walk = candidate.walk;
    std::size_t last = 0;
    for (std::size_t k = 0; k < seeds.size(); ++k) {
        double nearest = seed_distance;
        std::size_t at = 0;
        for (std::size_t j = 0; j < walk.seen.size(); ++j) {
            const double far =
                std::hypot(walk.seen[j].at.x - seeds[k].x, walk.seen[j].at.y - seeds[k].y);
            if (far < nearest) {
                nearest = far;
                at = j;
            }
        }
        last = std::max(last, at);
    }
    walk.seen.resize(std::min(walk.seen.size(), std::max<std::size_t>(last + 1, 8)));
}

// The first places about a seed, in both directions.
std::pair<std::vector<SeenPoint>, std::vector<SeenPoint>> both_ways(const CurveInk& ink,
                                                                    const StrokeStart& start) {
    std::vector<SeenPoint> first;
    for (double way = -6; way <= 6; way += 1.5) {
        const PixelPoint at = moved(start.at, start.heading, way);
        const CrossSection section = cross_section(ink, start.look, at, start.heading, 2.5);
        if (!section.clean) continue;
        first.push_back(
            {.at = moved(at, start.heading, 0, section.aside), .way = way, .area = section.area});
    }
    std::vector<SeenPoint> back(first.rbegin(), first.rend());
    for (SeenPoint& point : back) point.way = -point.way;
    return {std::move(first), std::move(back)};
}

// From one seed to another where the walks from both meet: curves that touch for a while at a small
// angle lead each walk astray only behind that place. Nothing where they do not meet.
std::optional<std::vector<SeenPoint>> joined(const std::vector<SeenPoint>& from,
                                             const std::vector<SeenPoint>& other) {
    constexpr double hidden = 8;  // px on each side of the meeting that are not trusted
    double best = 25;             // degrees of turn, and px of distance, at most
    std::size_t at = 0, on = 0;
    for (std::size_t i = 6; i + 1 < from.size(); ++i) {
        for (std::size_t j = 6; j + 1 < other.size(); ++j) {
            const double far =
                std::hypot(from[i].at.x - other[j].at.x, from[i].at.y - other[j].at.y);
            if (far > 3) continue;
            const PixelPoint a = {.x = from[i].at.x - from[i - 6].at.x,
                                  .y = from[i].at.y - from[i - 6].at.y};
            const PixelPoint b = {.x = other[j - 6].at.x - other[j].at.x,
                                  .y = other[j - 6].at.y - other[j].at.y};
            const double turn = std::abs(std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y));
            const double cost = turn * 57.3 + 2 * far;
            if (cost >= best) continue;
            best = cost;
            at = i;
            on = j;
        }
    }
    if (at == 0) return std::nullopt;
    std::vector<SeenPoint> path;
    for (std::size_t i = 0; i <= at; ++i) {
        if (from[i].way < from[at].way - hidden) path.push_back(from[i]);
    }
    for (std::size_t j = on + 1; j-- > 0;) {
        if (other[j].way > other[on].way - hidden) continue;
        SeenPoint point = other[j];
        point.way = from[at].way + other[on].way - other[j].way;
        path.push_back(point);
    }
    if (path.size() < 8) return std::nullopt;
    return path;
}

// Both ways from one seed, through all seeds where that can be.
Path path_from(const Chart& chart, const StrokeStart& start, const std::vector<PixelPoint>& seeds) {
    Path path;
    path.look = start.look;
    std::vector<SeenPoint> first;
    for (double way = -6; way <= 6; way += 1.5) {
        const PixelPoint at = moved(start.at, start.heading, way);
        const CrossSection section = cross_section(chart.ink, start.look, at, start.heading, 2.5);
        if (!section.clean) continue;
        first.push_back(
            {.at = moved(at, start.heading, 0, section.aside), .way = way, .area = section.area});
    }
    if (first.size() < 3) return path;
    std::vector<SeenPoint> back(first.rbegin(), first.rend());
    for (SeenPoint& point : back) point.way = -point.way;
    auto onward = candidates(chart, start.look, first, seeds);
    auto backward = candidates(chart, start.look, back, seeds);
    std::size_t best_on = 0, best_back = 0;
    int most = -1;
    for (std::size_t i = 0; i < onward.size(); ++i) {
        for (std::size_t j = 0; j < backward.size(); ++j) {
            const int count = std::popcount(onward[i].passes | backward[j].passes);
            if (count <= most) continue;  // of equal ones the first: fewest forks passed
            most = count;
            best_on = i;
            best_back = j;
        }
    }
    // Seeds that no walk from the first one reaches: walks from there may meet one from here.
    if (most < static_cast<int>(seeds.size()) && seeds.size() > 1) {
        for (std::size_t k = 1; k < seeds.size(); ++k) {
            if (((onward[best_on].passes | backward[best_back].passes) >> k & 1U) != 0) continue;
            const auto there = stroke_at(chart.ink, seeds[k]);
            if (!there) continue;
            const auto [ahead, behind] = both_ways(chart.ink, *there);
            for (const bool reversed : {false, true}) {
                const auto& start_here = reversed ? back : first;
                const Walk here = walk_curve(chart.ink, chart.scale, chart.area, start.look,
                                             start_here, {.stop = false});
                for (const auto* start_there : {&ahead, &behind}) {
                    if (start_there->size() < 3) continue;
                    const Walk other = walk_curve(chart.ink, chart.scale, chart.area, there->look,
                                                  *start_there, {.stop = false});
                    auto path_between = joined(here.seen, other.seen);
                    if (!path_between) continue;
                    auto& side = reversed ? backward : onward;
                    Candidate made;
                    made.walk.seen = std::move(*path_between);
                    made.passes = passed(made.walk.seen, seeds);
                    auto& best = reversed ? best_back : best_on;
                    const auto rest =
                        reversed ? onward[best_on].passes : backward[best_back].passes;
                    if (std::popcount(made.passes | rest) <= most) continue;
                    most = std::popcount(made.passes | rest);
                    side.push_back(std::move(made));
                    best = side.size() - 1;
                }
            }
        }
    }
    for (auto [side, best] : {std::pair{&onward, best_on}, std::pair{&backward, best_back}}) {
        Candidate& chosen = (*side)[best];
        if (best == 0) continue;
        cut_behind_seeds(chosen, seeds);
        std::vector<SeenPoint> so_far = chosen.walk.seen;  // and on from there with no guesses
        chosen.walk = walk_curve(chart.ink, chart.scale, chart.area, start.look, so_far, {});
    }
    const Walk& on = onward[best_on].walk;
    const Walk& before = backward[best_back].walk;
    path.seen.assign(before.seen.rbegin(), before.seen.rend());
    for (SeenPoint& point : path.seen) point.way = -point.way;
    for (const SeenPoint& point : on.seen) {
        if (point.way > path.seen.back().way) path.seen.push_back(point);
    }
    path.first_end = before.end;
    path.last_end = on.end;
    return path;
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
    const auto start = stroke_at(ink, seed);
    if (!start) {
        return untraceable(
            fmt::format("at {} there is no single clear line that is not grid", place(scale, seed)),
            "point at a stretch of the curve that stands free of grid lines, texts and other "
            "curves");
    }
    const Path path = path_from({.ink = ink, .scale = scale, .area = area}, *start, request.seeds);
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
        if (distance(path.seen, other) > seed_distance) {
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
