#include "draw/curve_names.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "draw/axes.hpp"
#include "draw/labels.hpp"
#include "draw/picture.hpp"
#include "draw/traces.hpp"

namespace gapwright {
namespace {

double distance(const Point& a, const Point& b) {
    return std::hypot(a.x - b.x, a.y - b.y);
}

// Points a few pixels apart along a run of pixels.
std::vector<Point> strewn(const std::vector<Point>& run) {
    constexpr double pitch = 5;
    std::vector<Point> points;
    for (std::size_t k = 0; k < run.size(); ++k) {
        points.push_back(run[k]);
        if (k + 1 == run.size()) break;
        const double length = distance(run[k], run[k + 1]);
        for (double s = pitch; s < length; s += pitch) {
            points.push_back({std::lerp(run[k].x, run[k + 1].x, s / length),
                              std::lerp(run[k].y, run[k + 1].y, s / length)});
        }
    }
    return points;
}

// Where curve `which` is furthest from the others, up to a distance that leaves room for a name.
// Among points equally far, the one nearest to the middle of its run: ends are crowded.
std::optional<Point> clearest(const std::vector<std::vector<Point>>& runs, std::size_t which,
                              const Box& where) {
    constexpr double enough = 30;
    std::optional<Point> best;
    double best_room = -1;
    double best_end = -1;
    const auto points = strewn(runs[which]);
    for (const auto& p : points) {
        const bool inside =
            p.x >= where.left && p.x <= where.right && p.y >= where.top && p.y <= where.bottom;
        if (!inside) continue;
        double room = enough;
        for (std::size_t other = 0; other < runs.size(); ++other) {
            if (other == which || runs[other].empty()) continue;
            room = std::min(room, distance(p, nearest_on(runs[other], p)));
        }
        const double end = std::min(distance(p, points.front()), distance(p, points.back()));
        if (room < best_room || (room == best_room && end <= best_end)) continue;
        best_room = room;
        best_end = end;
        best = p;
    }
    return best;
}

void draw_leader(Picture& picture, const Box& words, Point to) {
    constexpr double short_way = 9;  // a name this close needs none
    constexpr double dot = 1.8;
    const Point nearest{std::clamp(to.x, words.left, words.right),
                        std::clamp(to.y, words.top, words.bottom)};
    if (distance(nearest, to) < short_way) return;
    // From the middle of the name's side where it points sideways; its width is estimated from
    // above, so that the side lies a little further in.
    const double in = 0.05 * (words.right - words.left);
    const bool level = to.x < words.left || to.x > words.right;
    const Point from{std::clamp(to.x, words.left + in, words.right - in),
                     level ? (words.top + words.bottom) / 2 : nearest.y};
    picture.line({from, to}, "thin");
    picture.circle(to, dot, "dot");
}

}  // namespace

void name_curves(Picture& picture, const Axes& axes, Labels& labels, const Box& where,
                 const std::vector<std::vector<Point>>& curves,
                 const std::vector<std::string>& names, std::string_view css) {
    std::vector<std::vector<Point>> runs;
    for (const auto& curve : curves) {
        auto& run = runs.emplace_back();
        for (const auto& p : curve) run.push_back(axes.at(p.x, p.y));
    }
    for (std::size_t k = 0; k < runs.size(); ++k) {
        if (names[k].empty()) continue;
        const auto at = clearest(runs, k, where);
        if (!at) continue;
        if (const auto words = labels.put(*at, names[k], css)) draw_leader(picture, *words, *at);
    }
}

}  // namespace gapwright
