#include "proof/worst_case.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>
#include <vector>
#include "circuit/index.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

// A point of the search: each coordinate from 0 (lowest) to 1 (highest).
using Point = std::vector<double>;

constexpr std::size_t corner_budget = 16384;  // specimens for all corners at once
constexpr int most_rounds = 8;                // of local search at one step size
constexpr int sparing_rounds = 3;
constexpr double no_influence = 1e-12;  // relative

bool is_condition(const Coordinate& c) {
    return c.kind != Coordinate::Kind::parameter;
}

double nominal_share(const Coordinate& c) {
    if (c.kind == Coordinate::Kind::age) return 0;
    if (is_condition(c)) return 0.5;
    return (c.range.nominal - c.range.lowest) / (c.range.highest - c.range.lowest);
}

class Search {
  public:
    Search(const LinkCircuit& circuit, const ConditionRanges& ranges, const Measurer& measurer,
           const std::vector<Target>& targets, const EngineOptions& options, Effort effort)
        : measurer_(measurer),
          targets_(targets),
          options_(options),
          effort_(effort),
          base_(nominal_specimen(circuit, ranges)) {
        result_.coordinates = coordinates_of(circuit, ranges);
        result_.lowest.assign(measurer.measures, std::numeric_limits<double>::infinity());
        result_.highest.assign(measurer.measures, -std::numeric_limits<double>::infinity());
        best_.assign(targets.size(), -std::numeric_limits<double>::infinity());
        best_point_.assign(targets.size(), nominal_point());
        result_.extremes.resize(targets.size());
        for (auto& extreme : result_.extremes) {
            extreme.effects.assign(result_.coordinates.size(), 0.0);
        }
    }

    WorstCases run(const std::vector<Specimen>& starts) {
        const auto environments = grid_of_conditions();
        evaluate(environments);
        one_at_a_time(environments);
        if (effort_ != Effort::thorough || !all_corners(environments)) {
            guided_corners(environments);
        }
        std::vector<Point> points;
        for (const auto& start : starts) points.push_back(point_of(start));
        evaluate(points);
        for (const double step : steps_of(effort_)) {
            const int most = effort_ == Effort::sparing ? sparing_rounds : most_rounds;
            for (int round = 0; round < most && local_round(step); ++round) {
            }
        }
        for (std::size_t t = 0; t < targets_.size(); ++t) {
            result_.extremes[t].specimen = specimen_at(best_point_[t]);
        }
        return std::move(result_);
    }

  private:
    Point nominal_point() const {
        Point point;
        for (const auto& c : result_.coordinates) point.push_back(nominal_share(c));
        return point;
    }

    Point point_of(const Specimen& specimen) const {
        Point point;
        for (const auto& c : result_.coordinates) {
            const double value =
                c.kind == Coordinate::Kind::parameter     ? specimen.values[to_index(c.slot)]
                : c.kind == Coordinate::Kind::temperature ? specimen.conditions.temperature
                : c.kind == Coordinate::Kind::light       ? specimen.conditions.light
                                                          : specimen.conditions.age;
            point.push_back((value - c.range.lowest) / (c.range.highest - c.range.lowest));
        }
        return point;
    }

    // A coordinate's value; at its nominal the nominal itself, not its rounded share of the range.
    static double value_at(const Coordinate& c, double share) {
        if (!is_condition(c) && share == nominal_share(c)) return c.range.nominal;
        return std::lerp(c.range.lowest, c.range.highest, share);
    }

    // Calls set(slot, value) and set(conditions) with what the point asks for.
    template <class Place>
    void write(const Point& point, Place&& place) const {
        Conditions conditions = base_.conditions;
        for (std::size_t k = 0; k < point.size(); ++k) {
            const Coordinate& c = result_.coordinates[k];
            const double value = value_at(c, point[k]);
            switch (c.kind) {
                case Coordinate::Kind::parameter:
                    place.set(c.slot, value);
                    break;
                case Coordinate::Kind::temperature:
                    conditions.temperature = value;
                    break;
                case Coordinate::Kind::light:
                    conditions.light = value;
                    break;
                case Coordinate::Kind::age:
                    conditions.age = value;
                    break;
            }
        }
        place.set(conditions);
    }

    Specimen specimen_at(const Point& point) const {
        Specimen specimen = base_;
        write(point, specimen);
        return specimen;
    }

    // Solves points; each counts for every target. Returns the measurements.
    Measurements evaluate(const std::vector<Point>& points) {
        const SpecimenSource source{
            .base = base_,
            .count = points.size(),
            .write = [&](std::size_t k, SpecimenPlace& place) { write(points[k], place); }};
        auto measured = measurer_.run(source, options_);
        note_outcome(measured.outcome);
        for (std::size_t k = 0; k < points.size(); ++k) {
            for (std::size_t m = 0; m < measurer_.measures; ++m) {
                result_.lowest[m] = std::min(result_.lowest[m], measured.at(k, m));
                result_.highest[m] = std::max(result_.highest[m], measured.at(k, m));
            }
            for (std::size_t t = 0; t < targets_.size(); ++t) {
                const double bad = badness(measured, k, t, points[k]);
                if (!(bad > best_[t])) continue;
                best_[t] = bad;
                best_point_[t] = points[k];
                result_.extremes[t].value = measured.at(k, targets_[t].measure);
            }
        }
        return measured;
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

    double badness(const Measurements& measured, std::size_t row, std::size_t target,
                   const Point& point) const {
        double temperature = base_.conditions.temperature;
        for (std::size_t k = 0; k < point.size(); ++k) {
            const Coordinate& c = result_.coordinates[k];
            if (c.kind != Coordinate::Kind::temperature) continue;
            temperature = std::lerp(c.range.lowest, c.range.highest, point[k]);
        }
        const Target& t = targets_[target];
        return t.badness(measured.at(row, t.measure), temperature);
    }

    bool about_nominal() const { return effort_ == Effort::sparing || effort_ == Effort::guided; }

    // Of the local search: shares of each range.
    static std::vector<double> steps_of(Effort effort) {
        if (effort == Effort::thorough) return {1.0, 0.25, 0.05};
        if (effort == Effort::sparing) return {1.0};
        return {};
    }

    // Ends and middle of each condition, in all combinations, parameters nominal.
    std::vector<Point> grid_of_conditions() const {
        std::vector<Point> points = {nominal_point()};
        if (about_nominal()) return points;
        for (std::size_t k = 0; k < result_.coordinates.size(); ++k) {
            if (!is_condition(result_.coordinates[k])) continue;
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
        const std::size_t count = result_.coordinates.size();
        std::vector<Point> points;
        for (const auto& environment : environments) {
            for (std::size_t k = 0; k < count; ++k) {
                for (const double end : {0.0, 1.0}) {
                    points.push_back(environment);
                    points.back()[k] = end;
                }
            }
        }
        const auto measured = evaluate(points);
        worse_end_.assign(environments.size(),
                          std::vector<Point>(targets_.size(), Point(count, 0.0)));
        std::size_t row = 0;
        for (std::size_t e = 0; e < environments.size(); ++e) {
            for (std::size_t k = 0; k < count; ++k, row += 2) {
                for (std::size_t t = 0; t < targets_.size(); ++t) {
                    const double low = badness(measured, row, t, points[row]);
                    const double high = badness(measured, row + 1, t, points[row + 1]);
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
        for (std::size_t k = 0; k < result_.coordinates.size(); ++k) {
            if (!is_condition(result_.coordinates[k]) && matters_to_any(k)) varied.push_back(k);
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
                    const bool free = about_nominal() || !is_condition(result_.coordinates[k]);
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

    // From each target's worst point, every coordinate one step either way, then all steps that
    // made it worse at once. Returns whether any target found something worse. A full step tries
    // every coordinate, since one without influence at the nominal point (a clamp that does not
    // conduct there) may have it here; smaller steps only those with influence.
    bool local_round(double step) {
        const bool full = step == 1.0;
        const auto before = best_;
        const auto from = best_point_;
        std::vector<Point> points;
        std::vector<Move> moves;
        for (std::size_t t = 0; t < targets_.size(); ++t) {
            if (has_twin(t)) continue;
            for (std::size_t k = 0; k < result_.coordinates.size(); ++k) {
                if (!full && result_.extremes[t].effects[k] == 0) continue;
                for (const double direction : {-step, step}) {
                    const double moved = std::clamp(from[t][k] + direction, 0.0, 1.0);
                    if (moved == from[t][k]) continue;
                    points.push_back(from[t]);
                    points.back()[k] = moved;
                    moves.push_back({t, k});
                }
            }
        }
        const auto measured = evaluate(points);
        std::vector<Point> together = from;
        for (std::size_t p = 0; p < points.size(); ++p) {
            const auto [t, k] = moves[p];
            const double bad = badness(measured, p, t, points[p]);
            if (bad > before[t]) together[t][k] = points[p][k];
            if (full) note_effect(t, k, before[t], bad);
        }
        evaluate(together);
        for (std::size_t t = 0; t < targets_.size(); ++t) {
            if (best_[t] > before[t] + 1e-9 * std::abs(before[t])) return true;
        }
        return false;
    }

    struct Move {
        std::size_t target;
        std::size_t coordinate;
    };

    void note_effect(std::size_t target, std::size_t coordinate, double one, double other) {
        const double size = std::max(std::abs(one), std::abs(other));
        if (!(std::abs(other - one) > no_influence * size)) return;
        double& effect = result_.extremes[target].effects[coordinate];
        effect = std::max(effect, std::abs(other - one));
    }

    // A target whose worst point an earlier target shares needs no search of its own this round.
    bool has_twin(std::size_t target) const {
        for (std::size_t t = 0; t < target; ++t) {
            const Target& a = targets_[t];
            const Target& b = targets_[target];
            if (a.measure == b.measure && a.sense == b.sense && a.magnitude == b.magnitude &&
                !a.derating && !b.derating) {
                return true;
            }
        }
        return false;
    }

    const Measurer& measurer_;
    const std::vector<Target>& targets_;
    const EngineOptions& options_;
    Effort effort_;
    Specimen base_;
    WorstCases result_;
    std::vector<double> best_;
    std::vector<Point> best_point_;
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

std::vector<Coordinate> coordinates_of(const LinkCircuit& circuit, const ConditionRanges& ranges) {
    std::vector<Coordinate> coordinates;
    for (std::size_t k = 0; k < circuit.parameters.size(); ++k) {
        if (!circuit.parameters[k].spread.varies()) continue;
        coordinates.push_back({.kind = Coordinate::Kind::parameter,
                               .slot = static_cast<Slot>(k),
                               .range = circuit.parameters[k].spread});
    }
    const auto condition = [&](Coordinate::Kind kind, const Spread& range) {
        if (range.varies()) coordinates.push_back({.kind = kind, .slot = {}, .range = range});
    };
    condition(Coordinate::Kind::temperature, ranges.temperature);
    condition(Coordinate::Kind::light, ranges.light);
    condition(Coordinate::Kind::age, ranges.age);
    return coordinates;
}

WorstCases find_worst_cases(const LinkCircuit& circuit, const ConditionRanges& ranges,
                            const Measurer& measurer, const std::vector<Target>& targets,
                            const std::vector<Specimen>& starts, const EngineOptions& options,
                            Effort effort) {
    return Search(circuit, ranges, measurer, targets, options, effort).run(starts);
}

}  // namespace gapwright
