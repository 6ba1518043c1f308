#include "proof/worst_case.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <map>
#include <utility>
#include <vector>

#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/local_search.hpp"
#include "proof/search_space.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

constexpr std::size_t corner_budget = 16384;  // specimens for all corners at once
constexpr std::size_t mixed_count = 1536;
constexpr std::ptrdiff_t most_walked = 160;
constexpr int sparing_rounds = 3;
constexpr double no_influence = 1e-12;  // relative
constexpr double none_yet = -std::numeric_limits<double>::infinity();

bool is_condition(const Coordinate& c) {
    return c.kind != Coordinate::Kind::parameter;
}

class Search {
  public:
    Search(const LinkCircuit& circuit, const ConditionRanges& ranges, const Measurer& measurer,
           const std::vector<Target>& targets, const EngineOptions& options, Effort effort)
        : space_(circuit, ranges),
          measurer_(measurer),
          targets_(targets),
          options_(options),
          effort_(effort) {
        result_.coordinates = space_.coordinates();
        result_.lowest.assign(measurer.measures, std::numeric_limits<double>::infinity());
        result_.highest.assign(measurer.measures, -std::numeric_limits<double>::infinity());
        best_.assign(targets.size(), none_yet);
        result_.extremes.resize(targets.size());
        for (auto& extreme : result_.extremes) {
            extreme.point = space_.nominal();
            extreme.effects.assign(space_.size(), 0.0);
        }
    }

    WorstCases run(const std::vector<Specimen>& given) {
        const auto environments = grid_of_conditions();
        evaluate(environments);
        one_at_a_time(environments);
        if (!may_look_at_corners() || !all_corners(environments)) guided_corners(environments);
        std::vector<Point> starts;
        for (const auto& specimen : given) starts.push_back(space_.point_of(specimen));
        std::vector<Walk> walks;
        choose_walked();
        if (effort_ == Effort::thorough) {
            add_walks_from_best(walks);
            if (space_.size() > 1) add_walks_from(mixed_points(space_.size(), mixed_count), walks);
            if (!starts.empty()) add_walks_from(starts, walks);
        } else {
            evaluate(starts);
            add_walks_from_best(walks);
        }
        walk(walks);
        for (auto& extreme : result_.extremes) extreme.specimen = space_.specimen_at(extreme.point);
        return std::move(result_);
    }

  private:
    // Solves points; each counts for every target.
    Scores evaluate(const std::vector<Point>& points) {
        const SpecimenSource source{.base = space_.base(),
                                    .count = points.size(),
                                    .write = [&](std::size_t k, SpecimenPlace& place) {
                                        space_.write(points[k], 1, place);
                                    }};
        const auto measured = measurer_.run(source, options_);
        note_outcome(measured.outcome);
        Scores scores{targets_.size(), {}};
        scores.bad.reserve(points.size() * targets_.size());
        for (std::size_t k = 0; k < points.size(); ++k) {
            for (std::size_t m = 0; m < measurer_.measures; ++m) {
                result_.lowest[m] = std::min(result_.lowest[m], measured.at(k, m));
                result_.highest[m] = std::max(result_.highest[m], measured.at(k, m));
            }
            const double temperature = space_.temperature_at(points[k]);
            for (std::size_t t = 0; t < targets_.size(); ++t) {
                const double value = measured.at(k, targets_[t].measure);
                const double bad = targets_[t].badness(value, temperature);
                scores.bad.push_back(bad);
                if (!(bad > best_[t])) continue;
                best_[t] = bad;
                result_.extremes[t].point = points[k];
                result_.extremes[t].value = value;
            }
        }
        return scores;
    }

    void note_outcome(const EngineOutcome& outcome) {
        if (outcome.unsettled && !result_.outcome.unsettled) {
            result_.outcome.first_unsettled = outcome.first_unsettled;
        }
        result_.outcome.solved += outcome.solved;
        result_.outcome.by_single_points += outcome.by_single_points;
        result_.outcome.unsettled += outcome.unsettled;
        result_.outcome.stopped = result_.outcome.stopped || outcome.stopped;
    }

    bool about_nominal() const { return effort_ == Effort::sparing || effort_ == Effort::guided; }
    bool may_look_at_corners() const {
        return effort_ == Effort::thorough || effort_ == Effort::plain;
    }

    // Ends and middle of each condition, in all combinations, parameters nominal.
    std::vector<Point> grid_of_conditions() const {
        std::vector<Point> points = {space_.nominal()};
        if (about_nominal()) return points;
        for (std::size_t k = 0; k < space_.size(); ++k) {
            if (!is_condition(space_.coordinates()[k])) continue;
            std::vector<Point> more;
            for (const auto& point : points) {
                for (const double share : {0.0, 0.5, 1.0}) {
                    if (effort_ == Effort::quick && share == 0.5) continue;
                    more.push_back(point);
                    more.back()[k] = share;
                }
            }
            points = std::move(more);
        }
        return points;
    }

    // Each parameter at each end, the others nominal, in each environment: which way it acts.
    void one_at_a_time(const std::vector<Point>& environments) {
        const std::size_t count = space_.size();
        std::vector<Point> points;
        for (const auto& environment : environments) {
            for (std::size_t k = 0; k < count; ++k) {
                for (const double end : {0.0, 1.0}) {
                    points.push_back(environment);
                    points.back()[k] = end;
                }
            }
        }
        const auto scores = evaluate(points);
        worse_end_.assign(environments.size(),
                          std::vector<Point>(targets_.size(), Point(count, 0.0)));
        std::size_t row = 0;
        for (std::size_t e = 0; e < environments.size(); ++e) {
            for (std::size_t k = 0; k < count; ++k, row += 2) {
                for (std::size_t t = 0; t < targets_.size(); ++t) {
                    const double low = scores.at(row, t);
                    const double high = scores.at(row + 1, t);
                    worse_end_[e][t][k] = high > low ? 1.0 : 0.0;
                    note_effect(t, k, low, high);
                }
            }
        }
    }

    bool matters_to_any(std::size_t coordinate) const {
        return std::ranges::any_of(result_.extremes, [&](const Extreme& extreme) {
            return extreme.effects[coordinate] > 0;
        });
    }

    // All corners of the parameters in each environment, when they fit the budget.
    bool all_corners(const std::vector<Point>& environments) {
        std::vector<std::size_t> varied;
        for (std::size_t k = 0; k < space_.size(); ++k) {
            if (!is_condition(space_.coordinates()[k]) && matters_to_any(k)) varied.push_back(k);
        }
        if (varied.size() >= 15 ||
            (std::size_t{1} << varied.size()) * environments.size() > corner_budget) {
            return false;
        }
        std::vector<Point> points;
        for (const auto& environment : environments) {
            for (std::size_t bits = 0; bits < std::size_t{1} << varied.size(); ++bits) {
                points.push_back(environment);
                for (std::size_t k = 0; k < varied.size(); ++k) {
                    points.back()[varied[k]] = (bits >> k) & 1U ? 1.0 : 0.0;
                }
            }
        }
        evaluate(points);
        return true;
    }

    // For each target, in each environment, the corner that the single effects point to.
    void guided_corners(const std::vector<Point>& environments) {
        std::vector<Point> points;
        for (std::size_t e = 0; e < environments.size(); ++e) {
            for (std::size_t t = 0; t < targets_.size(); ++t) {
                Point point = environments[e];
                for (std::size_t k = 0; k < point.size(); ++k) {
                    const bool free = about_nominal() || !is_condition(space_.coordinates()[k]);
                    if (free) point[k] = worse_end_[e][t][k];
                }
                points.push_back(std::move(point));
            }
        }
        std::ranges::sort(points);
        const auto doubles = std::ranges::unique(points);
        points.erase(doubles.begin(), doubles.end());
        evaluate(points);
    }

    // Whether a walk of its own leads to this target's extreme: it decides something, and no
    // earlier target asks for the same.
    bool is_walked(std::size_t target) const {
        const Target& b = targets_[target];
        if (!b.decides) return false;
        for (std::size_t t = 0; t < target; ++t) {
            const Target& a = targets_[t];
            if (a.decides && a.measure == b.measure && a.sense == b.sense &&
                a.magnitude == b.magnitude && !a.derating && !b.derating) {
                return false;
            }
        }
        return true;
    }

    // Of very many targets only the worst of each kin is walked; nothing that nobody can read is
    // worth minutes.
    void choose_walked() {
        walked_.clear();
        for (std::size_t t = 0; t < targets_.size(); ++t) walked_.push_back(is_walked(t));
        if (std::ranges::count(walked_, true) <= most_walked) return;
        std::map<std::pair<std::size_t, Sense>, std::size_t> worst;
        for (std::size_t t = 0; t < targets_.size(); ++t) {
            if (!walked_[t]) continue;
            const auto [known, first] = worst.try_emplace({targets_[t].kin, targets_[t].sense}, t);
            if (first) continue;
            const bool worse = best_[t] > best_[known->second];
            walked_[worse ? known->second : t] = false;
            if (worse) known->second = t;
        }
    }

    void add_walks_from_best(std::vector<Walk>& walks) const {
        for (std::size_t t = 0; t < targets_.size(); ++t) {
            if (walked_[t]) walks.push_back({t, result_.extremes[t].point, best_[t]});
        }
    }

    // Of each target a walk from the worst of some points.
    void add_walks_from(const std::vector<Point>& points, std::vector<Walk>& walks) {
        const auto scores = evaluate(points);
        for (std::size_t t = 0; t < targets_.size(); ++t) {
            if (!walked_[t]) continue;
            std::size_t worst = points.size();
            for (std::size_t p = 0; p < points.size(); ++p) {
                if (worst == points.size() || scores.at(p, t) > scores.at(worst, t)) worst = p;
            }
            walks.push_back({t, points[worst], scores.at(worst, t)});
        }
    }

    void walk(std::vector<Walk>& walks) {
        if (effort_ == Effort::quick || effort_ == Effort::guided) return;
        const ScorePoints score = [this](const std::vector<Point>& points) {
            return evaluate(points);
        };
        switch (effort_) {
            case Effort::thorough:
                walk_uphill(walks, score);
                keep_best_of_each(walks);
                follow_ridges(walks, score);
                break;
            case Effort::plain:
                walk_coarsely(walks, score);
                break;
            case Effort::sparing:
                walk_along_ends(walks, score, sparing_rounds);
                break;
            case Effort::quick:
            case Effort::guided:
                break;
        }
        for (const auto& walk : walks) {
            for (std::size_t k = 0; k < space_.size(); ++k) {
                note_effect(walk.target, k, walk.bad, walk.bad - walk.effects[k]);
            }
        }
    }

    // Of each target's walks the one that got furthest.
    static void keep_best_of_each(std::vector<Walk>& walks) {
        std::ranges::stable_sort(walks, [](const Walk& a, const Walk& b) {
            return a.target != b.target ? a.target < b.target : a.bad > b.bad;
        });
        const auto others = std::ranges::unique(walks, {}, &Walk::target);
        walks.erase(others.begin(), others.end());
    }

    void note_effect(std::size_t target, std::size_t coordinate, double one, double other) {
        const double size = std::max(std::abs(one), std::abs(other));
        if (!(std::abs(other - one) > no_influence * size)) return;
        double& effect = result_.extremes[target].effects[coordinate];
        effect = std::max(effect, std::abs(other - one));
    }

    SearchSpace space_;
    const Measurer& measurer_;
    const std::vector<Target>& targets_;
    const EngineOptions& options_;
    Effort effort_;
    WorstCases result_;
    std::vector<double> best_;
    std::vector<bool> walked_;  // by target
    std::vector<std::vector<Point>>
        worse_end_;  // by environment, target: the end of each coordinate
};

}  // namespace

double Target::badness(double value, double temperature) const {
    double bad = magnitude ? std::abs(value) : value;
    if (sense == Sense::at_least) bad = -bad;
    if (derating) bad /= std::max(derating->share(temperature), 1e-9);
    return bad;
}

WorstCases find_worst_cases(const LinkCircuit& circuit, const ConditionRanges& ranges,
                            const Measurer& measurer, const std::vector<Target>& targets,
                            const std::vector<Specimen>& starts, const EngineOptions& options,
                            Effort effort) {
    return Search(circuit, ranges, measurer, targets, options, effort).run(starts);
}

}  // namespace gapwright
