#include "proof/search/worst_case.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <map>
#include <utility>
#include <vector>

#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/search/curved_climb.hpp"
#include "proof/search/local_search.hpp"
#include "proof/search/search_findings.hpp"
#include "proof/search/search_space.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

constexpr std::size_t corner_budget = 16384;  // specimens for all corners at once
constexpr std::size_t mixed_count = 1536;
constexpr std::size_t most_walked = 160;
constexpr int sparing_rounds = 3;
// Points that all ridges together may take: what lies on many of them at once would take for ever.
constexpr std::size_t ridge_budget = 1000000;
constexpr std::size_t plain_budget = 100000;  // where each is dear
constexpr int most_climbs = 12;
constexpr int few_climbs = 4;
constexpr int most_overtaken = 3;
constexpr double worth_a_walk = 1e-6;   // of the score
constexpr double no_influence = 1e-12;  // relative

bool is_condition(const Coordinate& c) {
    return c.kind != Coordinate::Kind::parameter;
}

bool looks_about_nominal(Effort effort) {
    return effort == Effort::sparing || effort == Effort::guided;
}

// Conditions about which single effects are looked at.
struct Environment {
    Point point;                   // parameters nominal
    std::vector<Point> worse_end;  // by target: the end of each coordinate
};

// Ends and middle of each condition, in all combinations.
std::vector<Point> grid_of_conditions(const SearchSpace& space, Effort effort) {
    std::vector<Point> points = {space.nominal()};
    if (looks_about_nominal(effort)) return points;
    for (std::size_t k = 0; k < space.size(); ++k) {
        if (!is_condition(space.coordinates()[k])) continue;
        std::vector<Point> more;
        for (const auto& point : points) {
            for (const double share : {0.0, 0.5, 1.0}) {
                if (effort == Effort::quick && share == 0.5) continue;
                more.push_back(point);
                more.back()[k] = share;
            }
        }
        points = std::move(more);
    }
    return points;
}

// How a target's badness differs between two points that differ in one coordinate.
void note_effect(std::size_t coordinate, double one, double other, Extreme& extreme) {
    const double size = std::max(std::abs(one), std::abs(other));
    if (!(std::abs(other - one) > no_influence * size)) return;
    double& effect = extreme.effects[coordinate];
    effect = std::max(effect, std::abs(other - one));
}

// Each parameter at each end, the others nominal, in each environment: which way it acts.
std::vector<Environment> one_at_a_time(const SearchTask& task, const std::vector<Point>& grid,
                                       SearchFindings& found) {
    const std::size_t count = task.space.size();
    std::vector<Point> points;
    for (const auto& environment : grid) {
        for (std::size_t k = 0; k < count; ++k) {
            for (const double end : {0.0, 1.0}) {
                points.push_back(environment);
                points.back()[k] = end;
            }
        }
    }
    const auto scores = look_at(task, points, found);
    std::vector<Environment> environments;
    std::size_t row = 0;
    for (const auto& point : grid) {
        environments.push_back({point, std::vector(task.targets.size(), Point(count, 0.0))});
        for (std::size_t k = 0; k < count; ++k, row += 2) {
            for (std::size_t t = 0; t < task.targets.size(); ++t) {
                const double low = scores.at(row, t);
                const double high = scores.at(row + 1, t);
                environments.back().worse_end[t][k] = high > low ? 1.0 : 0.0;
                note_effect(k, low, high, found.cases.extremes[t]);
            }
        }
    }
    return environments;
}

// All corners of the parameters that matter in each environment, where they fit the budget; none
// where they do not.
std::vector<Point> all_corners(const SearchSpace& space,
                               const std::vector<Environment>& environments,
                               const std::vector<Extreme>& extremes) {
    std::vector<std::size_t> varied;
    for (std::size_t k = 0; k < space.size(); ++k) {
        const bool matters = std::ranges::any_of(
            extremes, [&](const Extreme& extreme) { return extreme.effects[k] > 0; });
        if (matters && !is_condition(space.coordinates()[k])) varied.push_back(k);
    }
    if (varied.size() >= 15 ||
        (std::size_t{1} << varied.size()) * environments.size() > corner_budget) {
        return {};
    }
    std::vector<Point> points;
    for (const auto& environment : environments) {
        for (std::size_t bits = 0; bits < std::size_t{1} << varied.size(); ++bits) {
            points.push_back(environment.point);
            for (std::size_t k = 0; k < varied.size(); ++k) {
                points.back()[varied[k]] = (bits >> k) & 1U ? 1.0 : 0.0;
            }
        }
    }
    return points;
}

// For each target, in each environment, the corner that the single effects point to.
std::vector<Point> guided_corners(const SearchTask& task,
                                  const std::vector<Environment>& environments) {
    const bool all_free = looks_about_nominal(task.effort);
    std::vector<Point> points;
    for (const auto& environment : environments) {
        for (const auto& worse_end : environment.worse_end) {
            Point point = environment.point;
            for (std::size_t k = 0; k < point.size(); ++k) {
                if (all_free || !is_condition(task.space.coordinates()[k])) point[k] = worse_end[k];
            }
            points.push_back(std::move(point));
        }
    }
    std::ranges::sort(points);
    const auto doubles = std::ranges::unique(points);
    points.erase(doubles.begin(), doubles.end());
    return points;
}

std::vector<Point> corners(const SearchTask& task, const std::vector<Environment>& environments,
                           const std::vector<Extreme>& extremes) {
    const bool may_be_all = task.effort == Effort::thorough || task.effort == Effort::plain;
    std::vector<Point> points;
    if (may_be_all) points = all_corners(task.space, environments, extremes);
    return points.empty() ? guided_corners(task, environments) : points;
}

// Whether a walk of its own leads to this target's extreme: it decides something, and no earlier
// target asks for the same.
bool is_walked(const std::vector<Target>& targets, std::size_t target) {
    const Target& b = targets[target];
    if (!b.decides) return false;
    for (std::size_t t = 0; t < target; ++t) {
        const Target& a = targets[t];
        if (a.decides && a.measure == b.measure && a.sense == b.sense &&
            a.magnitude == b.magnitude && !a.derating && !b.derating) {
            return false;
        }
    }
    return true;
}

std::vector<std::size_t> walked_targets(const std::vector<Target>& targets) {
    std::vector<std::size_t> walked;
    for (std::size_t t = 0; t < targets.size(); ++t) {
        if (is_walked(targets, t)) walked.push_back(t);
    }
    return walked;
}

// Of very many targets those to walk thoroughly for: the worst of each kin.
std::vector<std::size_t> foremost(const std::vector<Target>& targets,
                                  const std::vector<std::size_t>& walked,
                                  const std::vector<double>& bad) {
    if (walked.size() <= most_walked) return walked;
    std::map<std::pair<std::size_t, Sense>, std::size_t> worst;
    for (const std::size_t t : walked) {
        auto& known = worst.try_emplace({targets[t].kin, targets[t].sense}, t).first->second;
        if (bad[t] > bad[known]) known = t;
    }
    std::vector<std::size_t> chosen;
    for (const auto& [kin, t] : worst) chosen.push_back(t);
    std::ranges::sort(chosen);
    return chosen;
}

void add_walks_from_best(const std::vector<std::size_t>& walked, const SearchFindings& found,
                         std::vector<Walk>& walks) {
    for (const std::size_t t : walked) {
        walks.push_back({t, found.cases.extremes[t].point, found.bad[t]});
    }
}

// Of each target a walk from the worst of some points.
void add_walks_from(const std::vector<Point>& points, const Scores& scores,
                    const std::vector<std::size_t>& walked, std::vector<Walk>& walks) {
    if (points.empty()) return;
    for (const std::size_t t : walked) {
        std::size_t worst = 0;
        for (std::size_t p = 1; p < points.size(); ++p) {
            if (scores.at(p, t) > scores.at(worst, t)) worst = p;
        }
        walks.push_back({t, points[worst], scores.at(worst, t)});
    }
}

std::vector<Walk> walks_to_take(const SearchTask& task, const std::vector<Point>& starts,
                                SearchFindings& found) {
    std::vector<Walk> walks;
    const auto walked = foremost(task.targets, walked_targets(task.targets), found.bad);
    if (task.effort != Effort::thorough) {
        look_at(task, starts, found);
        add_walks_from_best(walked, found, walks);
        return walks;
    }
    add_walks_from_best(walked, found, walks);
    if (task.space.size() > 1) {
        const auto mixed = mixed_points(task.space.size(), mixed_count);
        add_walks_from(mixed, look_at(task, mixed, found), walked, walks);
    }
    add_walks_from(starts, look_at(task, starts, found), walked, walks);
    return walks;
}

// Of each target's walks the one that got furthest.
void keep_best_of_each(std::vector<Walk>& walks) {
    std::ranges::stable_sort(walks, [](const Walk& a, const Walk& b) {
        return a.target != b.target ? a.target < b.target : a.bad > b.bad;
    });
    const auto others = std::ranges::unique(walks, {}, &Walk::target);
    walks.erase(others.begin(), others.end());
}

// What the walks of other targets have passed and is worse than where a target's own walk ended:
// walks from there.
std::vector<Walk> overtaken(const std::vector<Walk>& walks, const SearchFindings& found) {
    std::vector<Walk> again;
    for (const auto& walk : walks) {
        const double passed = found.bad[walk.target];
        if (!(passed > walk.bad + worth_a_walk * std::abs(walk.bad))) continue;
        again.push_back({walk.target, found.cases.extremes[walk.target].point, passed});
    }
    return again;
}

// The targets that no walk was for, some at a time: a coarse walk from the worst that the others'
// passed.
void walk_for_the_rest(const std::vector<Walk>& taken, const SearchTask& task,
                       const ScorePoints& score, const SearchFindings& found) {
    std::vector<std::size_t> rest = walked_targets(task.targets);
    std::erase_if(rest, [&](std::size_t t) {
        return std::ranges::find(taken, t, &Walk::target) != taken.end();
    });
    for (std::size_t first = 0; first < rest.size(); first += most_walked) {
        const std::size_t count = std::min(most_walked, rest.size() - first);
        std::vector<Walk> some;
        add_walks_from_best({rest.begin() + static_cast<std::ptrdiff_t>(first),
                             rest.begin() + static_cast<std::ptrdiff_t>(first + count)},
                            found, some);
        walk_coarsely(some, score);
        climb_curved(some, score, few_climbs);
    }
}

// Ridges of what promises are about alone, where every specimen is dear.
void follow_promised(std::vector<Walk>& walks, const std::vector<Target>& targets,
                     const ScorePoints& score) {
    const auto is_promised = [&](const Walk& walk) {
        const Target& own = targets[walk.target];
        return std::ranges::any_of(targets, [&](const Target& other) {
            return other.promised && other.measure == own.measure && other.sense == own.sense;
        });
    };
    const auto others = std::ranges::partition(walks, is_promised);
    std::vector<Walk> promised(walks.begin(), others.begin());
    follow_ridges(promised, score, plain_budget);
    std::ranges::move(promised, walks.begin());
}

void walk_thoroughly(std::vector<Walk>& walks, const ScorePoints& score) {
    walk_uphill(walks, score);
    climb_curved(walks, score, most_climbs);
    keep_best_of_each(walks);
    follow_ridges(walks, score, ridge_budget);
}

void take(std::vector<Walk> walks, const SearchTask& task, SearchFindings& found) {
    const ScorePoints score = [&](const std::vector<Point>& points) {
        return look_at(task, points, found);
    };
    switch (task.effort) {
        case Effort::thorough:
            walk_thoroughly(walks, score);
            for (int again = 0; again < most_overtaken; ++again) {
                std::vector<Walk> others = overtaken(walks, found);
                if (others.empty()) break;
                walk_thoroughly(others, score);
                std::ranges::move(others, std::back_inserter(walks));
                keep_best_of_each(walks);
            }
            walk_for_the_rest(walks, task, score, found);
            break;
        case Effort::plain:
            walk_coarsely(walks, score);
            climb_curved(walks, score, most_climbs);
            follow_promised(walks, task.targets, score);
            break;
        case Effort::sparing:
            walk_along_ends(walks, score, sparing_rounds);
            break;
        case Effort::quick:
        case Effort::guided:
            return;
    }
    for (const auto& walk : walks) {
        for (std::size_t k = 0; k < task.space.size(); ++k) {
            note_effect(k, walk.bad, walk.bad - walk.effects[k], found.cases.extremes[walk.target]);
        }
    }
}

}  // namespace

WorstCases find_worst_cases(const LinkCircuit& circuit, const ConditionRanges& ranges,
                            const Measurer& measurer, const std::vector<Target>& targets,
                            const std::vector<Specimen>& starts, const EngineOptions& options,
                            Effort effort) {
    const SearchSpace space(circuit, ranges);
    const SearchTask task{space, measurer, targets, options, effort};
    SearchFindings found = no_findings(task);
    const auto grid = grid_of_conditions(space, effort);
    look_at(task, grid, found);
    const auto environments = one_at_a_time(task, grid, found);
    look_at(task, corners(task, environments, found.cases.extremes), found);
    std::vector<Point> points;
    for (const auto& specimen : starts) points.push_back(space.point_of(specimen));
    take(walks_to_take(task, points, found), task, found);
    for (auto& extreme : found.cases.extremes) {
        extreme.specimen = space.specimen_at(extreme.point);
    }
    return std::move(found.cases);
}

}  // namespace gapwright
