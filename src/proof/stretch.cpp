#include "proof/stretch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>
#include <vector>

#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/local_search.hpp"
#include "proof/search_space.hpp"
#include "proof/worst_case.hpp"

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

class Stretcher {
  public:
    Stretcher(const SearchSpace& space, const Measurer& measurer,
              const std::vector<StretchBound>& bounds, const EngineOptions& options)
        : space_(space), measurer_(measurer), bounds_(bounds), options_(options) {}

    std::vector<Way> along_worst(int steps) {
        std::vector<Way> ways;
        for (std::size_t b = 0; b < bounds_.size(); ++b) ways.push_back(way(b, bounds_[b].worst));
        follow(ways, steps);
        return ways;
    }

    // Where mixed points of stretched boxes give way earlier.
    void try_mixed(std::vector<Way>& ways) {
        const auto points = mixed_points(space_.size(), mixed_count);
        std::vector<Way> others;
        std::vector<bool> found(bounds_.size());
        for (const double stretch : mixed_stretches) {
            std::vector<Point> stretched;
            for (const auto& point : points) stretched.push_back(at_stretch(point, stretch));
            const auto scores = evaluate(stretched);
            for (std::size_t b = 0; b < bounds_.size(); ++b) {
                if (found[b] || stretch > ways[b].fails_at) continue;
                for (std::size_t p = 0; p < points.size() && !found[b]; ++p) {
                    if (holds(b, scores.at(p, b), stretch)) continue;
                    found[b] = true;
                    others.push_back(way(b, points[p], stretch));
                }
            }
        }
        follow(others, halvings);
        keep_nearer(ways, others);
    }

    // Walks uphill in boxes a little less wide than those that give way.
    void search_nearer(std::vector<Way>& ways) {
        std::vector<std::size_t> going;
        for (std::size_t b = 0; b < bounds_.size(); ++b) {
            if (ways[b].fails_at > 0) going.push_back(b);
        }
        for (int turn = 0; turn < most_searches && !going.empty(); ++turn) {
            std::vector<Walk> walks;
            std::vector<Point> starts;
            for (const auto b : going) {
                starts.push_back(at_stretch(ways[b].point, nearer * end_of(ways[b])));
            }
            const auto scores = evaluate(starts);
            for (std::size_t w = 0; w < going.size(); ++w) {
                walks.push_back({.target = going[w],
                                 .at = starts[w],
                                 .bad = scores.at(w, going[w]),
                                 .effects = {},
                                 .free = every_coordinate()});
            }
            walk_uphill(
                walks, [this](const std::vector<Point>& points) { return evaluate(points, true); });
            std::vector<Way> others;
            std::vector<std::size_t> still;
            for (const auto& walk : walks) {
                const double stretch = walk.at.back();
                if (holds(walk.target, walk.bad, stretch)) continue;
                others.push_back(
                    way(walk.target, Point(walk.at.begin(), walk.at.end() - 1), stretch));
                still.push_back(walk.target);
            }
            follow(others, halvings);
            keep_nearer(ways, others);
            going = std::move(still);
        }
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
        name_figures(ways, all);
        return all;
    }

  private:
    // What holds in its worst case holds in every direction up to a stretch of 1.
    Way way(std::size_t bound, Point point, double fails_at = infinity) const {
        return {bound, std::move(point), bounds_[bound].holds ? 1 : unknown, fails_at};
    }

    static double end_of(const Way& way) { return std::min(way.fails_at, most_stretch); }

    // A point that carries the stretch of its box as one number more, which no walk moves.
    static Point at_stretch(Point point, double stretch) {
        point.push_back(stretch);
        return point;
    }

    std::vector<std::size_t> every_coordinate() const {
        std::vector<std::size_t> all(space_.size());
        for (std::size_t k = 0; k < all.size(); ++k) all[k] = k;
        return all;
    }

    // `quickly`: what does not settle in lanes has no score, so that no walk goes there.
    Scores evaluate(const std::vector<Point>& points, bool quickly = false) const {
        EngineOptions options = options_;
        options.lanes_only = quickly;
        const SpecimenSource source{.base = space_.base(),
                                    .count = points.size(),
                                    .write = [&](std::size_t k, SpecimenPlace& place) {
                                        space_.write(points[k], points[k].back(), place);
                                    }};
        const auto measured = measurer_.run(source, options);
        Scores scores{bounds_.size(), {}};
        scores.bad.reserve(points.size() * bounds_.size());
        for (std::size_t p = 0; p < points.size(); ++p) {
            const double temperature = space_.temperature_at(points[p], points[p].back());
            for (const auto& bound : bounds_) {
                scores.bad.push_back(
                    bound.target.badness(measured.at(p, bound.target.measure), temperature));
            }
        }
        return scores;
    }

    bool holds(std::size_t b, double bad, double stretch) const {
        const StretchBound& bound = bounds_[b];
        return bad <= std::lerp(bound.nominal_limit, bound.limit, stretch);
    }

    // Finds for each way the first step of the ladder that fails (below a failure that is known
    // already), then where between that and the step before.
    void follow(std::vector<Way>& ways, int steps) const {
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
        auto scores = evaluate(points);
        std::vector<bool> failed(ways.size());
        for (std::size_t r = 0; r < rungs.size(); ++r) {
            const auto [w, stretch] = rungs[r];
            if (failed[w]) continue;
            if (holds(ways[w].bound, scores.at(r, ways[w].bound), stretch)) {
                ways[w].holds_to = stretch;
            } else {
                ways[w].fails_at = stretch;
                failed[w] = true;
            }
        }
        for (int step = 0; step < steps; ++step) halve(ways);
    }

    void halve(std::vector<Way>& ways) const {
        std::vector<Point> points;
        std::vector<std::size_t> of;
        for (std::size_t w = 0; w < ways.size(); ++w) {
            if (!(ways[w].fails_at <= most_stretch) || ways[w].fails_at == 0) continue;
            points.push_back(
                at_stretch(ways[w].point, 0.5 * (ways[w].holds_to + ways[w].fails_at)));
            of.push_back(w);
        }
        const auto scores = evaluate(points);
        for (std::size_t p = 0; p < points.size(); ++p) {
            Way& way = ways[of[p]];
            const double stretch = points[p].back();
            (holds(way.bound, scores.at(p, way.bound), stretch) ? way.holds_to : way.fails_at) =
                stretch;
        }
    }

    static void keep_nearer(std::vector<Way>& ways, const std::vector<Way>& others) {
        for (const auto& other : others) {
            if (other.fails_at < ways[other.bound].fails_at) ways[other.bound] = other;
        }
    }

    // The figure whose return to its nominal undoes most of what lies between the nominal specimen
    // and the one that gives way.
    void name_figures(const std::vector<Way>& ways, std::vector<Stretched>& all) const {
        std::vector<Point> points;
        for (const auto& way : ways) {
            if (!(way.fails_at <= most_stretch)) continue;
            const Point nominal = space_.nominal();
            for (std::size_t k = 0; k < space_.size(); ++k) {
                points.push_back(at_stretch(way.point, way.fails_at));
                points.back()[k] = nominal[k];
            }
        }
        const auto scores = evaluate(points);
        std::size_t row = 0;
        for (std::size_t w = 0; w < ways.size(); ++w) {
            if (!(ways[w].fails_at <= most_stretch)) continue;
            double least = infinity;
            for (std::size_t k = 0; k < space_.size(); ++k, ++row) {
                const double bad = scores.at(row, ways[w].bound);
                if (!(bad < least)) continue;
                least = bad;
                all[w].through = k;
            }
        }
    }

    const SearchSpace& space_;
    const Measurer& measurer_;
    const std::vector<StretchBound>& bounds_;
    const EngineOptions& options_;
};

}  // namespace

std::vector<Stretched> find_stretches(const SearchSpace& space, const Measurer& measurer,
                                      const std::vector<StretchBound>& bounds, StretchSearch search,
                                      const EngineOptions& options) {
    if (bounds.empty()) return {};
    Stretcher stretcher(space, measurer, bounds, options);
    const bool sparing = search == StretchSearch::sparing;
    auto ways = stretcher.along_worst(sparing ? sparing_halvings : halvings);
    if (!sparing && space.size() > 0) {
        stretcher.try_mixed(ways);
        stretcher.search_nearer(ways);
    }
    return stretcher.results(ways);
}

}  // namespace gapwright
