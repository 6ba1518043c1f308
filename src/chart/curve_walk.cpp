#include "chart/curve_walk.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

namespace gapwright {
namespace {

// Own choices, tried on synthetic charts.
constexpr double stride = 1.5;                         // px
constexpr std::array fit_lengths = {24.0, 14.0, 8.0};  // px, the first that the curve fits
constexpr double fit_noise = 0.45;                     // px rms
constexpr std::array bridge_lengths = {14.0, 28.0, 48.0, 72.0};  // px ahead that are looked at
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
    double score = 0;
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
            bridge.score = ink_along(ink, look, bridge.arc, length) -
                           0.5 * std::pow(turn / 2.5, 2) * 1.5 - 0.75 * bend * bend;
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
        const CrossSection first = cross_section(ink, look, at, heading, 2.0 + 0.03 * start);
        if (!first.clean) continue;
        at = moved(at, heading, 0, first.aside);
        std::vector<SeenPoint> seen = {{.at = at, .way = start, .area = first.area}};
        const double wanted = wanted_behind(start);
        double clean = 0, missed = 0, way = start;
        while (clean < wanted && missed < 9) {
            way += stride;
            at = moved(at, heading, stride);
            const CrossSection next = cross_section(ink, look, at, heading, 1.2);
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
        const Heading ahead = heading_at(bridge.arc, way);
        const double turn =
            std::acos(std::clamp(ahead.x * heading.x + ahead.y * heading.y, -1.0, 1.0));
        if (turn > 14 * degree) continue;
        bridge.from = start;
        bridge.seen = std::move(seen);
        return true;
    }
    return false;
}

enum class BridgeEnd { found, none, ambiguous };

BridgeEnd bridge_gap(const CurveInk& ink, const StrokeLook& look, const Bend& end, Bridge& found) {
    for (const double length : bridge_lengths) {
        const auto arcs = arcs_ahead(ink, look, end, length);
        std::vector<PixelPoint> tried;
        std::optional<Bridge> best;
        for (const Bridge& arc : arcs) {
            if (tried.size() >= 5 || (best && arc.score < best->score - 2.5)) break;
            if (arc.score < 0.5) break;
            const PixelPoint far = along_arc(arc.arc, length);
            const auto near = [&](PixelPoint p) {
                return std::hypot(p.x - far.x, p.y - far.y) < 2.5;
            };
            if (std::ranges::any_of(tried, near)) continue;
            tried.push_back(far);
            Bridge bridge = arc;
            if (!is_curve_behind(ink, look, bridge, length)) continue;
            if (!best) {
                best = std::move(bridge);
                continue;
            }
            // Two ways on: the same curve, or another one?
            const SeenPoint& a = best->seen.back();
            double nearest = 1e9;
            for (const SeenPoint& b : bridge.seen) {
                nearest = std::min(nearest, std::hypot(a.at.x - b.at.x, a.at.y - b.at.y));
            }
            for (const SeenPoint& b : best->seen) {
                const SeenPoint& c = bridge.seen.back();
                nearest = std::min(nearest, std::hypot(c.at.x - b.at.x, c.at.y - b.at.y));
            }
            if (nearest > 3.0) return BridgeEnd::ambiguous;
        }
        if (best) {
            found = std::move(*best);
            return BridgeEnd::found;
        }
    }
    return BridgeEnd::none;
}

}  // namespace

Walk walk_curve(const CurveInk& ink, const ChartScale& scale, const ChartArea& area,
                const StrokeLook& look, std::vector<SeenPoint> seen) {
    Walk walk;
    walk.seen = std::move(seen);
    const double longest = 3.0 * (ink.ink.width() + ink.ink.height());
    for (;;) {
        const Bend end = bend_at_end(walk.seen);
        const PixelPoint ahead = along_arc(end, stride);
        const Heading heading = heading_at(end, stride);
        const double way = walk.seen.back().way;
        walk.last = walk.seen.back().at;
        if (!area.holds(scale.to_fraction(ahead))) {
            walk.end = WalkEnd::border;
            return walk;
        }
        if (way > longest) {
            walk.end = WalkEnd::too_long;
            return walk;
        }
        const CrossSection next = cross_section(ink, look, ahead, heading, 1.5);
        if (next.clean) {
            walk.seen.push_back({.at = moved(ahead, heading, 0, next.aside),
                                 .way = way + stride,
                                 .area = next.area});
            continue;
        }
        Bridge bridge;
        const BridgeEnd result = bridge_gap(ink, look, end, bridge);
        if (result == BridgeEnd::none) {
            // Where only the frame lies ahead, that is the end.
            const bool at_border = !area.holds(scale.to_fraction(along_arc(end, 8)));
            walk.end = at_border ? WalkEnd::border : WalkEnd::ink_ends;
            return walk;
        }
        if (result == BridgeEnd::ambiguous) {
            walk.end = WalkEnd::ambiguous;
            return walk;
        }
        for (SeenPoint& point : bridge.seen) {
            point.way += way;
            if (!area.holds(scale.to_fraction(point.at))) {
                walk.end = WalkEnd::border;
                return walk;
            }
            walk.seen.push_back(point);
        }
    }
}

}  // namespace gapwright
