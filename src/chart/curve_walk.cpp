#include "chart/curve_walk.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <numbers>
#include <optional>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/dash_kinks.hpp"
#include "chart/ink_map.hpp"
#include "chart/legend_samples.hpp"
#include "chart/stroke.hpp"

namespace gapwright {
namespace {

// Own choices, tried on synthetic charts.
constexpr double stride = 1.5;                         // px
constexpr std::array fit_lengths = {24.0, 14.0, 8.0};  // px, the first that the curve fits
constexpr double fit_noise = 0.45;                     // px rms
constexpr std::array bridge_lengths = {14.0, 28.0, 48.0, 72.0,
                                       120.0};  // px ahead that are looked at
constexpr double close_call = 2.5;              // px of ink: the ways on fit about as well
constexpr double any_doubt = 12;                // px of ink: the worse way is still possible
constexpr double degree = std::numbers::pi / 180;

Bend bend_at_end(const std::vector<SeenPoint>& seen) {
    Bend bend;
    for (const double length : fit_lengths) {
        bend = bend_of(seen, length);
        if (bend.noise <= fit_noise) break;
    }
    return bend;
}

PixelPoint along_arc(const Bend& arc, double way) {
    return moved(arc.at, arc.heading, way, 0.5 * arc.bend * way * way);
}

Heading heading_at(const Bend& arc, double way) {
    return turned(arc.heading, std::atan(arc.bend * way));
}

struct Bridge {
    Bend arc = {};
    double score = 0;                  // ink found, less cost
    double cost = 0;                   // of differing from where the curve was heading
    double from = 0;                   // px along the arc to where the curve is seen again
    std::vector<SeenPoint> seen = {};  // from there on
};

// Ink along an arc: for each pixel +1 for ink, a little less than nothing for paper.
double ink_along(const CurveInk& ink, const StrokeLook& look, const Bend& arc, double length) {
    double score = 0;
    for (double way = 1; way <= length; way += 1) {
        const PixelPoint p = along_arc(arc, way);
        const double part = std::min(1.0, ink.ink.between(p) / (0.7 * look.peak));
        score += ink.trust.between(p) * (1.3 * part - 0.3);
    }
    return score;
}

std::vector<Bridge> arcs_ahead(const CurveInk& ink, const StrokeLook& look, const Bend& end,
                               double length) {
    std::vector<Bridge> arcs;
    const double bend_spread = 0.3 * std::abs(end.bend) + 0.06 / length;
    for (int turn = -16; turn <= 16; ++turn) {
        for (int bend = -3; bend <= 3; ++bend) {
            Bridge bridge{.arc = end};
            bridge.arc.heading = turned(end.heading, turn * degree);
            bridge.arc.bend = end.bend + bend * bend_spread;
            bridge.cost = 0.75 * std::pow(turn / 2.5, 2) + 0.75 * bend * bend;
            bridge.score = ink_along(ink, look, bridge.arc, length) - bridge.cost;
            arcs.push_back(std::move(bridge));
        }
    }
    std::ranges::stable_sort(arcs, std::ranges::greater{}, &Bridge::score);
    return arcs;
}

// How much of clean curve must be seen behind a gap of that length, px.
double wanted_behind(double gap) {
    return gap <= 12 ? 4.5 : gap <= 30 ? 12 : 24;
}

// Follows what lies behind a gap for a while by itself; true where that is clean curve.
bool is_curve_behind(const CurveInk& ink, const StrokeLook& look, Bridge& bridge, double length) {
    for (double start = 2; start <= length; start += 1) {
        PixelPoint at = along_arc(bridge.arc, start);
        Heading heading = heading_at(bridge.arc, start);
        const CrossSection first = best_section(ink, look, at, heading, 2.0 + 0.03 * start);
        if (!first.clean) continue;
        at = moved(at, heading, 0, first.aside);
        std::vector<SeenPoint> seen = {{.at = at, .way = start, .area = first.area}};
        const double wanted = wanted_behind(start);
        double clean = 0, missed = 0, way = start;
        while (clean < wanted && missed < 9) {
            way += stride;
            at = moved(at, heading, stride);
            const CrossSection next = best_section(ink, look, at, heading, 1.2);
            if (next.clean) {
                at = moved(at, heading, 0, next.aside);
                heading = turned(heading, 0.2 * next.aside / stride);
                seen.push_back({.at = at, .way = way, .area = next.area});
                clean += stride;
            } else {
                missed += 0.3 + ink.trust.between(at);
            }
        }
        if (clean < wanted) continue;
        // On to the end of a dash, whose own direction tells whose dash it is.
        while (seen.back().way == way && way - start < 10) {
            way += stride;
            at = moved(at, heading, stride);
            const CrossSection next = best_section(ink, look, at, heading, 1.2);
            if (!next.clean) break;
            at = moved(at, heading, 0, next.aside);
            heading = turned(heading, 0.2 * next.aside / stride);
            seen.push_back({.at = at, .way = way, .area = next.area});
        }
        const double middle = 0.5 * (seen.front().way + seen.back().way);
        const Heading ahead = heading_at(bridge.arc, middle);
        const PixelPoint own = {.x = seen.back().at.x - seen.front().at.x,
                                .y = seen.back().at.y - seen.front().at.y};
        const double turn = std::abs(
            std::atan2(ahead.x * own.y - ahead.y * own.x, ahead.x * own.x + ahead.y * own.y));
        const double free = seen.back().way - seen.front().way < 8 ? 12 : start <= 30 ? 8 : 6;
        if (turn > free * degree) continue;
        bridge.from = start;
        bridge.seen = std::move(seen);
        return true;
    }
    return false;
}

// Whether one of two ways on comes to lie on the other.
bool same_way(const Bridge& a, const Bridge& b) {
    double nearest = 1e9;
    for (const SeenPoint& p : a.seen) {
        const PixelPoint q = b.seen.back().at;
        nearest = std::min(nearest, std::hypot(p.at.x - q.x, p.at.y - q.y));
    }
    for (const SeenPoint& p : b.seen) {
        const PixelPoint q = a.seen.back().at;
        nearest = std::min(nearest, std::hypot(p.at.x - q.x, p.at.y - q.y));
    }
    return nearest <= 3;
}

// The arc hardly leaves what grid lines hide.
bool is_hidden(const CurveInk& ink, const Bend& arc, double length) {
    double trust = 0;
    for (double way = 1; way <= length; way += 1) trust += ink.trust.between(along_arc(arc, way));
    return trust < 0.6 * length;
}

// Ways on behind a gap, the likeliest first, at most two; none where the curve ends. The second
// one is there only if it costs less than `doubt` more. Ways of all lengths compete, since behind
// a crossing the dash of another curve may come first.
std::vector<Bridge> ways_on(const Chart& chart, const StrokeLook& look, const Bend& end,
                            double doubt, double longest) {
    constexpr double arcs = 231, of_section = 100;  // looks for each px of length
    const CurveInk& ink = chart.ink;
    std::vector<Bridge> ways;
    for (const double length : bridge_lengths) {
        if (length > longest || (length > 80 && !is_hidden(ink, end, 60))) break;
        if (!ways.empty() && ways.front().cost < 1.6) break;
        std::vector<PixelPoint> tried;
        chart.budget.looks -= static_cast<std::int64_t>(arcs * length);
        for (const Bridge& arc : arcs_ahead(ink, look, end, length)) {
            if (tried.size() >= 6 || (length <= 80 && arc.score < 0.5)) break;
            if (arc.cost > (length > 30 ? 5 : 8)) continue;
            const PixelPoint far = along_arc(arc.arc, length);
            const auto near = [&](PixelPoint p) {
                return std::hypot(p.x - far.x, p.y - far.y) < 2.5;
            };
            if (std::ranges::any_of(tried, near)) continue;
            tried.push_back(far);
            Bridge bridge = arc;
            chart.budget.looks -= static_cast<std::int64_t>(of_section * length);
            if (!is_curve_behind(ink, look, bridge, length)) continue;
            bridge.cost += 0.04 * bridge.from;
            const auto same = std::ranges::find_if(
                ways, [&](const Bridge& way) { return same_way(way, bridge); });
            if (same == ways.end()) {
                ways.push_back(std::move(bridge));
            } else if (bridge.cost < same->cost) {
                *same = std::move(bridge);
            }
        }
        std::ranges::stable_sort(ways, {}, &Bridge::cost);
    }
    if (ways.size() > 1 && ways[1].cost > ways[0].cost + doubt) ways.resize(1);
    if (ways.size() > 2) ways.resize(2);
    return ways;
}

// The same, also from a little farther back: the last stretch may have been a letter's stroke.
// Gives back how many of the last places are to be left out.
struct WaysOn {
    std::vector<Bridge> ways = {};
    std::size_t left_out = 0;
};

WaysOn ways_on_from(const Chart& chart, const StrokeLook& look, const std::vector<SeenPoint>& seen,
                    double doubt, double longest) {
    WaysOn found;
    for (const double back : {0.0, 6.0, 12.0, 20.0}) {
        std::size_t keep = seen.size();
        while (keep > 0 && seen.back().way - seen[keep - 1].way < back) --keep;
        if (keep < 8 && back > 0) break;
        found.left_out = seen.size() - keep;
        const std::vector<SeenPoint> kept(seen.begin(),
                                          seen.begin() + static_cast<std::ptrdiff_t>(keep));
        found.ways = ways_on(chart, look, bend_at_end(kept), doubt, longest);
        // From farther back only what leads beyond the letter.
        std::erase_if(found.ways,
                      [&](const Bridge& way) { return way.from < back + (back > 0 ? 4 : 0); });
        if (!found.ways.empty()) return found;
    }
    return found;
}

constexpr double kink_reach = 9;   // px at the end that are compared with what went before
constexpr double kink_angle = 11;  // degrees

// Whether ink lies ahead that is neither grid nor frame: the curve may go on behind it.
bool is_ink_ahead(const Chart& chart, const StrokeLook& look, const Bend& end) {
    const CurveInk& ink = chart.ink;
    constexpr double nearest = 4, farthest = 26;  // px
    int inked = 0;
    for (double way = nearest; way <= farthest; way += 1) {
        for (double aside = -0.8 * way; aside <= 0.8 * way; aside += 1) {
            const PixelPoint at = moved(end.at, end.heading, way, aside);
            if (!chart.area.holds(chart.scale.to_fraction(at))) continue;
            if (std::ranges::any_of(chart.legends,
                                    [&](const Legend& one) { return one.whole.holds(at); })) {
                return true;
            }
            if (ink.trust.between(at) < 0.5) continue;
            inked += ink.ink.between(at) > 0.4 * look.peak ? 1 : 0;
        }
    }
    return inked >= 6;
}

// Where dashes of two curves touch they look like one that bends: whether a dashed curve's last
// stretch heads elsewhere than what went before it.
bool is_kinked(const std::vector<SeenPoint>& seen) {
    const double end = seen.back().way;
    std::size_t bend_at = seen.size() - 1;
    while (bend_at > 0 && end - seen[bend_at].way < kink_reach) --bend_at;
    std::size_t from = bend_at;
    while (from > 0 && seen[bend_at].way - seen[from - 1].way < 45) --from;
    const double length = seen[bend_at].way - seen[from].way;
    int gaps = 0;
    for (std::size_t k = from; k < bend_at; ++k) gaps += seen[k + 1].way - seen[k].way > 3 ? 1 : 0;
    if (length < 25 || gaps < 2) return false;
    const std::vector<SeenPoint> before(seen.begin() + static_cast<std::ptrdiff_t>(from),
                                        seen.begin() + static_cast<std::ptrdiff_t>(bend_at) + 1);
    const Bend arc = bend_of(before, 40);
    const Heading ahead = heading_at(arc, 0.5 * kink_reach);
    const PixelPoint own = {.x = seen.back().at.x - seen[bend_at].at.x,
                            .y = seen.back().at.y - seen[bend_at].at.y};
    const double turn =
        std::atan2(ahead.x * own.y - ahead.y * own.x, ahead.x * own.x + ahead.y * own.y);
    return std::abs(turn) > kink_angle * degree;
}

CurveWalk walk_to_end(const Chart& chart, const StrokeLook& look, std::vector<SeenPoint> seen,
                      const WalkChoice& choice) {
    const CurveInk& ink = chart.ink;
    const ChartScale& scale = chart.scale;
    const ChartArea& area = chart.area;
    CurveWalk walk;
    walk.seen = std::move(seen);
    const double longest = 3.0 * (ink.ink.width() + ink.ink.height());
    const auto inside = [&](PixelPoint at, double margin) {
        const double x = margin / std::hypot(scale.x_direction().x, scale.x_direction().y);
        const double y = margin / std::hypot(scale.y_direction().x, scale.y_direction().y);
        const ChartPoint f = scale.to_fraction(at);
        return area.holds({.x = f.x - x, .y = f.y - y}) && area.holds({.x = f.x + x, .y = f.y + y});
    };
    double last_kink = -1e9, farthest = -1e9;
    int stalls = 0;
    int steps = 0;  // bridges may lead back to where they began
    const int most_steps = static_cast<int>(longest / stride);
    for (;;) {
        Bend end = bend_at_end(walk.seen);
        const PixelPoint ahead = along_arc(end, stride);
        const Heading heading = heading_at(end, stride);
        const double way = walk.seen.back().way;
        walk.last = walk.seen.back().at;
        if (!inside(ahead, 0)) {
            walk.end = WalkEnd::border;
            return walk;
        }
        if (way > longest || ++steps > most_steps) {
            walk.end = WalkEnd::too_long;
            return walk;
        }
        const CrossSection next = best_section(ink, look, ahead, heading, 1.5);
        if (next.clean) {
            walk.seen.push_back({.at = moved(ahead, heading, 0, next.aside),
                                 .way = way + stride,
                                 .area = next.area});
        }
        if (choice.stop && is_kinked(walk.seen)) {
            if (way < last_kink + 30) {  // again, so nothing leads on straight
                walk.end = WalkEnd::fork;
                while (walk.seen.size() > 8 && way - walk.seen.back().way < 20)
                    walk.seen.pop_back();
                walk.last = walk.seen.back().at;
                return walk;
            }
            last_kink = way;
            while (walk.seen.size() > 8 && way - walk.seen.back().way < kink_reach + 3) {
                walk.seen.pop_back();
            }
            end = bend_at_end(walk.seen);
        } else if (next.clean) {
            continue;
        }
        if (chart.budget.looks < 0 || chart.budget.stop.stop_requested()) {
            chart.budget.spent = true;
            walk.end = WalkEnd::given_up;
            return walk;
        }
        // Frames are lines that nothing crosses: no long way along them.
        const bool by_frame = !inside(along_arc(end, 0), 5);
        auto [ways, left_out] = ways_on_from(
            chart, look, walk.seen, choice.stop ? close_call : any_doubt, by_frame ? 30 : 1e9);
        if (ways.empty()) {
            // Where only the frame lies ahead, that is the end.
            walk.end = !inside(along_arc(end, 8), 0)    ? WalkEnd::border
                       : is_ink_ahead(chart, look, end) ? WalkEnd::fork
                                                        : WalkEnd::ink_ends;
            return walk;
        }
        if (ways.size() > 1 && choice.stop) {
            walk.end = WalkEnd::fork;
            return walk;
        }
        const bool other =
            ways.size() > 1 && std::ranges::find(choice.other, walk.forks) != choice.other.end();
        if (ways.size() > 1) ++walk.forks;
        Bridge bridge = std::move(ways[other ? 1 : 0]);
        walk.seen.resize(walk.seen.size() - left_out);
        const double from = walk.seen.back().way;
        for (SeenPoint& point : bridge.seen) {
            point.way += from;
            if (!inside(point.at, 0)) {
                walk.end = WalkEnd::border;
                return walk;
            }
            walk.seen.push_back(point);
        }
        // A bridge from farther back may lead to where it is clear already that nothing goes on.
        stalls = walk.seen.back().way > farthest + 1 ? 0 : stalls + 1;
        farthest = std::max(farthest, walk.seen.back().way);
        if (stalls > 2) {
            walk.end = WalkEnd::fork;
            return walk;
        }
    }
}

}  // namespace

CurveWalk walk_curve(const Chart& chart, const StrokeLook& look, std::vector<SeenPoint> seen,
                     const WalkChoice& choice) {
    const std::size_t given = seen.size();
    CurveWalk walk = walk_to_end(chart, look, std::move(seen), choice);
    if (!choice.stop) return walk;
    auto kink = first_kink(walk.seen, given);
    if (const auto change = pattern_change(walk.seen); change && (!kink || *change < *kink)) {
        kink = std::max(*change, given > 0 ? given - 1 : 0);
    }
    if (kink) {
        walk.seen.resize(std::max<std::size_t>(*kink + 1, 8));
        walk.last = walk.seen.back().at;
        walk.end = WalkEnd::fork;
    }
    return walk;
}

}  // namespace gapwright
