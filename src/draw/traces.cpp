#include "draw/traces.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>
#include "draw/axes.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

Point between(const Point& a, const Point& b, double x) {
    return {x, std::lerp(a.y, b.y, (x - a.x) / (b.x - a.x))};
}

Point nearest_between(const Point& p, const Point& a, const Point& b) {
    const Point run{b.x - a.x, b.y - a.y};
    const double square = run.x * run.x + run.y * run.y;
    const double along = (p.x - a.x) * run.x + (p.y - a.y) * run.y;
    const double share = square > 0 ? std::clamp(along / square, 0.0, 1.0) : 0;
    return {a.x + share * run.x, a.y + share * run.y};
}

double distance(const Point& p, const Point& q) {
    return std::hypot(p.x - q.x, p.y - q.y);
}

}  // namespace

std::vector<Point> cut(const std::vector<Point>& curve, double low, double high) {
    std::vector<Point> result;
    std::optional<Point> before;
    for (const auto& p : curve) {
        if (!std::isfinite(p.x) || !std::isfinite(p.y)) continue;
        if (before && before->x < low && p.x > low) result.push_back(between(*before, p, low));
        if (before && before->x < high && p.x > high) result.push_back(between(*before, p, high));
        if (p.x >= low && p.x <= high) result.push_back(p);
        before = p;
    }
    return result;
}

std::optional<double> value_at(const std::vector<Point>& curve, double x) {
    for (std::size_t k = 0; k < curve.size(); ++k) {
        if (curve[k].x == x) return curve[k].y;
        if (k > 0 && curve[k - 1].x < x && curve[k].x > x) {
            return between(curve[k - 1], curve[k], x).y;
        }
    }
    return std::nullopt;
}

std::vector<Point> thinned(const std::vector<Point>& curve, const Axes& axes) {
    constexpr double tolerance = 0.1;
    if (curve.size() < 3) return curve;
    const Box& paper = axes.paper();
    const double x_scale = (paper.right - paper.left) / (axes.x().high - axes.x().low);
    const double y_scale = (paper.bottom - paper.top) / (axes.y().high - axes.y().low);
    const auto pixel = [&](std::size_t k) {
        return Point{curve[k].x * x_scale, curve[k].y * y_scale};
    };
    // Keep the point furthest from each run until none is far: the runs still to be looked at.
    std::vector<bool> kept(curve.size(), false);
    kept.front() = kept.back() = true;
    std::vector<std::pair<std::size_t, std::size_t>> runs{{0, curve.size() - 1}};
    while (!runs.empty()) {
        const auto [first, last] = runs.back();
        runs.pop_back();
        double furthest = tolerance;
        std::size_t at = first;
        for (std::size_t k = first + 1; k < last; ++k) {
            const double away =
                distance(pixel(k), nearest_between(pixel(k), pixel(first), pixel(last)));
            if (away <= furthest) continue;
            furthest = away;
            at = k;
        }
        if (at == first) continue;
        kept[at] = true;
        runs.emplace_back(first, at);
        runs.emplace_back(at, last);
    }
    std::vector<Point> result;
    for (std::size_t k = 0; k < curve.size(); ++k) {
        if (kept[k]) result.push_back(curve[k]);
    }
    return result;
}

Point nearest_on(const std::vector<Point>& pixels, const Point& p) {
    if (pixels.empty()) return p;
    Point nearest = pixels.front();
    for (std::size_t k = 1; k < pixels.size(); ++k) {
        const Point here = nearest_between(p, pixels[k - 1], pixels[k]);
        if (distance(p, here) < distance(p, nearest)) nearest = here;
    }
    return nearest;
}

void draw_trace(Picture& picture, const Axes& axes, const std::vector<Point>& curve,
                std::string_view css) {
    constexpr double radius = 2.5;
    if (curve.size() == 1) {
        picture.circle(axes.at(curve[0].x, curve[0].y), radius, "dot");
    } else {
        axes.curve(picture, curve, css);
    }
}

}  // namespace gapwright
