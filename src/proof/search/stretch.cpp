#include "proof/search/stretch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numeric>
#include <utility>
#include <vector>

#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/search/local_search.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/worst_case.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::array ladder = {0.0, 0.25, 0.5, 0.75, 1.0, 1.2, 1.5, 2.0, most_stretch};
constexpr int halvings = 10;  // of a step of the ladder
constexpr int sparing_halvings = 5;
constexpr int most_searches = 6;  // for something nearer than what was found
constexpr double nearer = 0.998;  // of the stretch: where the next search looks
constexpr std::size_t mixed_count = 192;
constexpr std::array mixed_stretches = {1.0, 1.2, 1.5, 2.0, most_stretch};

constexpr double unknown = -1;

// A way out of the box: a point of it, followed as it is stretched.
struct Way {
    std::size_t bound;
    Point point;
    double holds_to = unknown;   // up to here
    double fails_at = infinity;  // known not to hold here
};

// Bounds, where and how it is looked how far they hold.
struct Question {
    const SearchSpace& space;
    const Measurer& measurer;
    const std::vector<StretchBound>& bounds;
    const EngineOptions& options;
};

// What holds in its worst case holds in every direction up to a stretch of 1.
Way way_of(const Question& q, std::size_t bound, Point point, double fails_at = infinity) {
    return {bound, std::move(point), q.bounds[bound].holds ? 1 : unknown, fails_at};
}

double end_of(const Way& way) {
    return std::min(way.fails_at, most_stretch);
}

// A point that carries the stretch of its box as one number more, which no walk moves.
Point at_stretch(Point point, double stretch) {
    point.push_back(stretch);
    return point;
}

// `quickly`: what does not settle in lanes has no score, so that no walk goes there.
Scores scores_of(const Question& q, const std::vector<Point>& points, bool quickly = false) {
    EngineOptions options = q.options;
    options.lanes_only = quickly;
    const SpecimenSource source{.base = q.space.base(),
                                .count = points.size(),
                                .write = [&](std::size_t k, SpecimenPlace& place) {
                                    q.space.write(points[k], points[k].back(), place);
                                }};
    const auto measured = q.measurer.run(source, options);
    Scores scores{q.bounds.size(), {}};
    scores.bad.reserve(points.size() * q.bounds.size());
    for (std::size_t p = 0; p < points.size(); ++p) {
        const double temperature = q.space.temperature_at(points[p], points[p].back());
        for (const auto& bound : q.bounds) {
            scores.bad.push_back(
                bound.target.badness(measured.at(p, bound.target.measure), temperature));
        }
    }
    return scores;
}

bool holds(const Question& q, std::size_t b, double bad, double stretch) {
    const StretchBound& bound = q.bounds[b];
    return bad <= std::lerp(bound.nominal_limit, bound.limit, stretch);
}

std::vector<Way> halved(const Question& q, std::vector<Way> ways) {
    std::vector<Point> points;
    std::vector<std::size_t> of;
    for (std::size_t w = 0; w < ways.size(); ++w) {
        if (!(ways[w].fails_at <= most_stretch) || ways[w].fails_at == 0) continue;
        points.push_back(at_stretch(ways[w].point, 0.5 * (ways[w].holds_to + ways[w].fails_at)));
        of.push_back(w);
    }
    const auto scores = scores_of(q, points);
    for (std::size_t p = 0; p < points.size(); ++p) {
        Way& way = ways[of[p]];
        const double stretch = points[p].back();
        (holds(q, way.bound, scores.at(p, way.bound), stretch) ? way.holds_to : way.fails_at) =
            stretch;
    }
    return ways;
}

// Finds for each way the first step of the ladder that fails (below a failure that is known
// already), then where between that and the step before.
std::vector<Way> followed(const Question& q, std::vector<Way> ways, int steps) {
    std::vector<Point> points;
    std::vector<std::pair<std::size_t, double>> rungs;
    for (std::size_t w = 0; w < ways.size(); ++w) {
        for (const double stretch : ladder) {
            if (stretch <= ways[w].holds_to) continue;
            if (stretch >= ways[w].fails_at) break;
            points.push_back(at_stretch(ways[w].point, stretch));
            rungs.emplace_back(w, stretch);
        }
    }
    const auto scores = scores_of(q, points);
    std::vector<bool> failed(ways.size());
    for (std::size_t r = 0; r < rungs.size(); ++r) {
        const auto [w, stretch] = rungs[r];
        if (failed[w]) continue;
        if (holds(q, ways[w].bound, scores.at(r, ways[w].bound), stretch)) {
            ways[w].holds_to = stretch;
        } else {
            ways[w].fails_at = stretch;
            failed[w] = true;
        }
    }
    for (int step = 0; step < steps; ++step) ways = halved(q, std::move(ways));
    return ways;
}

std::vector<Way> nearer_of(std::vector<Way> ways, const std::vector<Way>& others) {
    for (const auto& other : others) {
        if (other.fails_at < ways[other.bound].fails_at) ways[other.bound] = other;
    }
    return ways;
}

std::vector<Way> along_worst(const Question& q) {
    std::vector<Way> ways;
    for (std::size_t b = 0; b < q.bounds.size(); ++b) {
        ways.push_back(way_of(q, b, q.bounds[b].worst));
    }
    return ways;
}

// Where mixed points of stretched boxes give way earlier.
std::vector<Way> with_mixed(const Question& q, const std::vector<Way>& ways) {
    const auto points = mixed_points(q.space.size(), mixed_count);
    std::vector<Way> others;
    std::vector<bool> found(q.bounds.size());
    for (const double stretch : mixed_stretches) {
        std::vector<Point> stretched;
        for (const auto& point : points) stretched.push_back(at_stretch(point, stretch));
        const auto scores = scores_of(q, stretched);
        for (std::size_t b = 0; b < q.bounds.size(); ++b) {
            if (found[b] || stretch > ways[b].fails_at) continue;
            for (std::size_t p = 0; p < points.size() && !found[b]; ++p) {
                if (holds(q, b, scores.at(p, b), stretch)) continue;
                found[b] = true;
                others.push_back(way_of(q, b, points[p], stretch));
            }
        }
    }
    return nearer_of(ways, followed(q, std::move(others), halvings));
}

// Walks uphill in boxes a little less wide than those that give way.
std::vector<Way> with_searched(const Question& q, std::vector<Way> ways) {
    std::vector<std::size_t> every_coordinate(q.space.size());
    std::iota(every_coordinate.begin(), every_coordinate.end(), std::size_t{0});
    std::vector<std::size_t> going;
    for (std::size_t b = 0; b < q.bounds.size(); ++b) {
        if (ways[b].fails_at > 0) going.push_back(b);
    }
    for (int turn = 0; turn < most_searches && !going.empty(); ++turn) {
        std::vector<Walk> walks;
        std::vector<Point> starts;
        for (const auto b : going) {
            starts.push_back(at_stretch(ways[b].point, nearer * end_of(ways[b])));
        }
        const auto scores = scores_of(q, starts);
        for (std::size_t w = 0; w < going.size(); ++w) {
            walks.push_back({.target = going[w],
                             .at = starts[w],
                             .bad = scores.at(w, going[w]),
                             .effects = {},
                             .free = every_coordinate});
        }
        walk_uphill(walks,
                    [&](const std::vector<Point>& points) { return scores_of(q, points, true); });
        std::vector<Way> others;
        std::vector<std::size_t> still;
        for (const auto& walk : walks) {
            const double stretch = walk.at.back();
            if (holds(q, walk.target, walk.bad, stretch)) continue;
            others.push_back(
                way_of(q, walk.target, Point(walk.at.begin(), walk.at.end() - 1), stretch));
            still.push_back(walk.target);
        }
        ways = nearer_of(std::move(ways), followed(q, std::move(others), halvings));
        going = std::move(still);
    }
    return ways;
}

std::vector<Stretched> results(const std::vector<Way>& ways) {
    std::vector<Stretched> all;
    for (const auto& way : ways) {
        Stretched one;
        if (way.fails_at <= most_stretch) {
            one.factor = std::max(way.holds_to, 0.0);
            one.beyond = false;
        }
        all.push_back(one);
    }
    return all;
}

// The figure whose return to its nominal undoes most of what lies between the nominal specimen
// and the one that gives way.
std::vector<Stretched> with_figures(const Question& q, const std::vector<Way>& ways,
                                    std::vector<Stretched> all) {
    std::vector<Point> points;
    for (const auto& way : ways) {
        if (!(way.fails_at <= most_stretch)) continue;
        const Point nominal = q.space.nominal();
        for (std::size_t k = 0; k < q.space.size(); ++k) {
            points.push_back(at_stretch(way.point, way.fails_at));
            points.back()[k] = nominal[k];
        }
    }
    const auto scores = scores_of(q, points);
    std::size_t row = 0;
    for (std::size_t w = 0; w < ways.size(); ++w) {
        if (!(ways[w].fails_at <= most_stretch)) continue;
        double least = infinity;
        for (std::size_t k = 0; k < q.space.size(); ++k, ++row) {
            const double bad = scores.at(row, ways[w].bound);
            if (!(bad < least)) continue;
            least = bad;
            all[w].through = k;
        }
    }
    return all;
}

}  // namespace

std::vector<Stretched> find_stretches(const SearchSpace& space, const Measurer& measurer,
                                      const std::vector<StretchBound>& bounds, StretchSearch search,
                                      const EngineOptions& options) {
    if (bounds.empty()) return {};
    const Question q{space, measurer, bounds, options};
    const bool sparing = search == StretchSearch::sparing;
    auto ways = followed(q, along_worst(q), sparing ? sparing_halvings : halvings);
    if (!sparing && space.size() > 0) ways = with_searched(q, with_mixed(q, ways));
    return with_figures(q, ways, results(ways));
}

}  // namespace gapwright
