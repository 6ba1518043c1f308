#include "chart/seeded_path.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <optional>
#include <ranges>
#include <utility>
#include <vector>
#include "chart/axis_scale.hpp"
#include "chart/curve_walk.hpp"
#include "chart/ink_map.hpp"
#include "chart/stroke.hpp"

namespace gapwright {
namespace {

// Which of the seeds a walk passes: a bit for each of the first 32.
std::uint32_t passed(const std::vector<SeenPoint>& seen, const std::vector<PixelPoint>& seeds) {
    std::uint32_t bits = 0;
    for (std::size_t k = 0; k < std::min<std::size_t>(32, seeds.size()); ++k) {
        if (distance_from(seen, seeds[k]) <= seed_distance) bits |= 1U << k;
    }
    return bits;
}

// A walk that stops at the first fork, or, where other seeds lie beyond, those that pass forks one
// way or the other.
struct Candidate {
    CurveWalk walk = {};
    std::uint32_t passes = 0;
};

std::vector<Candidate> candidates(const Chart& chart, const StrokeLook& look,
                                  const std::vector<SeenPoint>& first,
                                  const std::vector<PixelPoint>& seeds) {
    std::vector<Candidate> found;
    const auto add = [&](const WalkChoice& choice) {
        Candidate made;
        made.walk = walk_curve(chart, look, first, choice);
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
    CurveWalk& walk = candidate.walk;
    std::size_t last = 0;
    for (const PixelPoint& seed : seeds) {
        double nearest = seed_distance;
        std::size_t at = 0;
        for (std::size_t j = 0; j < walk.seen.size(); ++j) {
            const double far = std::hypot(walk.seen[j].at.x - seed.x, walk.seen[j].at.y - seed.y);
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

// From one seed to another where the walks from both end facing each other, with an arc's turn
// between them: the seeds say that what hides the curve there, a label or a crossing, does so.
std::optional<std::vector<SeenPoint>> faced(const std::vector<SeenPoint>& from,
                                            const std::vector<SeenPoint>& other) {
    constexpr double longest = 72, shortest = 4;       // px
    constexpr double most_turn = 25, most_uneven = 8;  // degrees
    constexpr double end = 24;                         // px that tell where an end heads
    if (from.size() < 8 || other.size() < 8) return std::nullopt;
    const Bend here = bend_of(from, end), there = bend_of(other, end);
    const PixelPoint chord = {.x = there.at.x - here.at.x, .y = there.at.y - here.at.y};
    const double far = std::hypot(chord.x, chord.y);
    if (far < shortest || far > longest) return std::nullopt;
    const auto turn = [](PixelPoint a, PixelPoint b) {
        return 57.3 * std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y);
    };
    const double out = turn(here.heading, chord);
    const double in = turn(chord, {.x = -there.heading.x, .y = -there.heading.y});
    if (std::max(std::abs(out), std::abs(in)) > most_turn || std::abs(out - in) > most_uneven) {
        return std::nullopt;
    }
    std::vector<SeenPoint> path = from;
    for (const SeenPoint& place : other | std::views::reverse) {
        SeenPoint point = place;
        point.way = from.back().way + far + other.back().way - place.way;
        path.push_back(point);
    }
    return path;
}

// Clean strokes about a seed that head by it.
std::vector<StrokeStart> strokes_about(const CurveInk& ink, PixelPoint seed) {
    constexpr std::array radii = {10.0, 15.0, 20.0, 25.0};  // px
    constexpr int directions = 16;
    constexpr double heads_by = 5;     // px from the seed at which a stroke's line passes it
    constexpr double one_place = 1.5;  // px
    std::vector<StrokeStart> strokes;
    for (const double radius : radii) {
        for (int k = 0; k < directions; ++k) {
            const Heading out = turned({.x = 1, .y = 0}, 2 * std::numbers::pi * k / directions);
            const auto start = stroke_at(ink, moved(seed, out, radius));
            if (!start) continue;
            const double dx = seed.x - start->at.x, dy = seed.y - start->at.y;
            if (std::abs(dx * start->heading.y - dy * start->heading.x) > heads_by) continue;
            const auto is_here = [&](const StrokeStart& other) {
                return std::hypot(other.at.x - start->at.x, other.at.y - start->at.y) < one_place;
            };
            if (std::ranges::none_of(strokes, is_here)) strokes.push_back(*start);
        }
    }
    return strokes;
}

// Whether a stroke lies beyond the seed as seen from another one, and heads about the same way.
bool is_beyond(const StrokeStart& start, const StrokeStart& other, PixelPoint seed) {
    constexpr double same_way = 0.87;  // cosine of the angle between them
    const double along = (start.at.x - seed.x) * (other.at.x - seed.x) +
                         (start.at.y - seed.y) * (other.at.y - seed.y);
    const double turn = start.heading.x * other.heading.x + start.heading.y * other.heading.y;
    return along < 0 && std::abs(turn) > same_way;
}

}  // namespace

double distance_from(const std::vector<SeenPoint>& seen, PixelPoint at) {
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

std::optional<StrokeStart> start_near(const Chart& chart, PixelPoint seed) {
    constexpr double passes_by = 3;    // px, as a seed is promised to lie
    constexpr double both_sides = 12;  // px of path, beyond the seed too
    constexpr double one_place = 1.5;  // px
    constexpr double shortest = 60;    // px of path; letters' strokes have less
    constexpr double line = 0.3;       // of the curve's ink: what makes a grid line one that hides
    constexpr std::size_t most = 6;    // paths, each of which takes time
    double grid = 0;
    for (double aside = -4; aside <= 4; aside += 1) {
        grid = std::max({grid, chart.ink.grid.between({.x = seed.x + aside, .y = seed.y}),
                         chart.ink.grid.between({.x = seed.x, .y = seed.y + aside})});
    }
    if (grid < line) return std::nullopt;
    const std::vector<StrokeStart> about = strokes_about(chart.ink, seed);
    std::optional<StrokeStart> found;
    std::vector<SeenPoint> path_found;
    std::size_t tried = 0;
    for (const StrokeStart& start : about) {
        const auto goes_on = [&](const StrokeStart& other) {
            return is_beyond(start, other, seed);
        };
        if (std::ranges::none_of(about, goes_on)) continue;
        if (!path_found.empty() && distance_from(path_found, start.at) < one_place) continue;
        if (++tried > most) return std::nullopt;
        SeededPath path = path_from(chart, start, {seed});
        if (path.seen.size() < 8) continue;
        const double first = path.seen.front().way, last = path.seen.back().way;
        if (last - first < shortest || distance_from(path.seen, seed) > passes_by) continue;
        const auto nearest = std::ranges::min_element(path.seen, {}, [&](const SeenPoint& p) {
            return std::hypot(p.at.x - seed.x, p.at.y - seed.y);
        });
        if (nearest->way - first < both_sides || last - nearest->way < both_sides) continue;
        if (found) return std::nullopt;
        found = start;
        path_found = std::move(path.seen);
    }
    return found;
}

SeededPath path_from(const Chart& chart, const StrokeStart& start,
                     const std::vector<PixelPoint>& seeds) {
    SeededPath path;
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
                const CurveWalk here = walk_curve(chart, start.look, start_here, {.stop = false});
                for (const auto* start_there : {&ahead, &behind}) {
                    if (start_there->size() < 3) continue;
                    const CurveWalk other =
                        walk_curve(chart, there->look, *start_there, {.stop = false});
                    auto path_between = joined(here.seen, other.seen);
                    if (!path_between) {
                        const CurveWalk near_walk = walk_curve(chart, start.look, start_here, {});
                        const CurveWalk far_walk = walk_curve(chart, there->look, *start_there, {});
                        path_between = faced(near_walk.seen, far_walk.seen);
                    }
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
        chosen.walk = walk_curve(chart, start.look, so_far, {});
    }
    const CurveWalk& on = onward[best_on].walk;
    const CurveWalk& before = backward[best_back].walk;
    path.seen.assign(before.seen.rbegin(), before.seen.rend());
    for (SeenPoint& point : path.seen) point.way = -point.way;
    for (const SeenPoint& point : on.seen) {
        if (point.way > path.seen.back().way) path.seen.push_back(point);
    }
    path.first_end = before.end;
    path.last_end = on.end;
    return path;
}

}  // namespace gapwright
