// What one set of values comes to in its own worst case, and how far it misses good practice.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "circuit/index.hpp"
#include "design/values/bounds.hpp"
#include "design/values/practice.hpp"
#include "design/values/score.hpp"
#include "design/values/scorer.hpp"
#include "design/values/value_problem.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/search/worst_case.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

ValueSet with(ValueSet set, std::size_t r, std::uint32_t choice) {
    set[r] = choice;
    return set;
}

Target target_of(const Bound& bound) {
    return {.measure = bound.measure,
            .sense = bound.sense,
            .magnitude = bound.magnitude,
            .derating = bound.derating};
}

}  // namespace

std::vector<Scenario> WorstScore::distinct_scenarios() const {
    std::vector<Scenario> distinct;
    for (std::size_t b = 0; b < scenarios.size(); ++b) {
        const Scenario& one = scenarios[b];
        if (one.timed || !std::isfinite(reserves[b])) continue;
        if (std::ranges::find(distinct, one) == distinct.end()) distinct.push_back(one);
    }
    return distinct;
}

WorstScore ValueProblem::worst(const ValueSet& set, const EngineOptions& options,
                               Effort effort) const {
    const std::optional<Hurdle> none;
    Scorer scorer(*this, {&set, 1}, none, options);
    WorstScore result{.score = scorer.run({}).front(), .reserves = {}, .scenarios = {}};
    result.reserves.assign(bounds_.bounds.size(), infinity);
    result.scenarios.assign(bounds_.bounds.size(), {});
    std::vector<std::size_t> all;
    for (std::size_t b = 0; b < bounds_.bounds.size(); ++b) {
        if (!bounds_.bounds[b].timed) all.push_back(b);
    }
    look(set, all, scorer.levels_of(0), Effort::quick, options, result);
    if (effort == Effort::thorough) {
        // A thorough look moves a reserve by little: those far from the least need none.
        constexpr double far = 0.25;
        std::vector<std::size_t> near;
        const double least = std::ranges::min(result.reserves);
        for (const auto b : all) {
            if (result.reserves[b] <= least + far) near.push_back(b);
        }
        look(set, near, scorer.levels_of(0), Effort::plain, options, result);
    }
    if (timed_) look_in_time(set, options, result);
    for (std::size_t b = 0; b < bounds_.bounds.size(); ++b) {
        if (result.reserves[b] < result.score.reserve) {
            result.score.reserve = result.reserves[b];
            result.score.bound = b;
        }
        result.score.spare =
            std::min(result.score.spare, result.reserves[b] - bounds_.bounds[b].asked);
    }
    look_stretched(set, scorer.levels_of(0), options, result);
    if (practice_.empty()) return result;
    result.score.practice = 0;
    for (const auto& one : shortfalls(set, result.distinct_scenarios(), options)) {
        result.score.practice += one.share;
    }
    return result;
}

std::vector<Shortfall> ValueProblem::shortfalls(const ValueSet& set,
                                                std::span<const Scenario> scenarios,
                                                const EngineOptions& options) const {
    std::vector<Scenario> all = {nominal()};
    all.insert(all.end(), scenarios.begin(), scenarios.end());
    const Measurements measured_all = measured({&set, 1}, all, options);
    std::vector<Shortfall> found(practice_.size());
    const auto keep = [&](std::size_t c, const Shortfall& one) {
        if (one.share > found[c].share || found[c].asked == 0) found[c] = one;
    };
    for (std::size_t c = 0; c < practice_.size(); ++c) {
        const PracticeCheck& check = practice_[c];
        if (check.chosen) {
            keep(c, value_shortfall(check, choice(set, *check.chosen).value.nominal));
        }
        for (std::size_t k = 0; k < all.size(); ++k) {
            const auto at = [&](std::size_t measure) { return measured_all.at(k, measure); };
            if (check.bound) {
                const Bound& bound = bounds_.bounds[*check.bound];
                const auto limit = rated(bound, set, {});
                if (!limit) continue;
                Shortfall one = reserve_shortfall(
                    check, bound.reserve(at(bound.measure), all[k].conditions.temperature, *limit));
                one.state = bound.state;
                keep(c, one);
            } else if (!check.chosen && (k == 0 || !is_nominal(check.practice))) {
                keep(c, shortfall(check, at));
            }
        }
    }
    return found;
}

void ValueProblem::look_stretched(const ValueSet& set, std::span<const std::uint8_t> high,
                                  const EngineOptions& options, WorstScore& result) const {
    result.stretched_reserves.assign(bounds_.bounds.size(), infinity);
    result.stretched_scenarios.assign(bounds_.bounds.size(), {});
    result.score.want = 0;
    for (const double reserve : result.reserves) result.score.want += near_of(reserve);
    std::vector<std::size_t> looked;
    std::vector<Target> targets;
    for (std::size_t b = 0; b < bounds_.bounds.size(); ++b) {
        const Bound& bound = bounds_.bounds[b];
        if (bound.timed || !rated(bound, set, high)) continue;
        looked.push_back(b);
        targets.push_back(target_of(bound));
    }
    if (targets.empty()) return;
    const auto [circuit, ranges] = stretched_circuit(set);
    const WorstCases cases = find_worst_cases(circuit, ranges, measurer_of(*engine_), targets, {},
                                              options, Effort::quick);
    result.solved += cases.outcome.solved;
    for (std::size_t t = 0; t < looked.size(); ++t) {
        const Bound& bound = bounds_.bounds[looked[t]];
        const Extreme& extreme = cases.extremes[t];
        const double left = bound.reserve(extreme.value, extreme.specimen.conditions.temperature,
                                          stretched_limit(bound, *rated(bound, set, high)));
        if (std::isnan(left)) continue;
        result.stretched_reserves[looked[t]] = left;
        result.stretched_scenarios[looked[t]] = stretched_scenario_of(extreme.specimen, set);
        // The worse of the two counts.
        result.score.want += std::max(0.0, want_of(left) - near_of(result.reserves[looked[t]]));
    }
}

double ValueProblem::fixed_want(const ValueSet& set, const WorstScore& worst,
                                const std::function<bool(const Part&)>& is_given,
                                const EngineOptions& options) const {
    constexpr double moved = 0.005;  // of the bound
    // Far enough that a bound which depends on the value shows it.
    constexpr double aside = 1.25;
    std::vector<ValueSet> all;
    for (std::size_t r = 0; r < count(); ++r) {
        const double own = choice(set, r).value.nominal;
        const auto is_below = [&](std::uint32_t c) {
            return stock_.choices[c].value.nominal < own / aside;
        };
        const auto is_above = [&](std::uint32_t c) {
            return stock_.choices[c].value.nominal > own * aside;
        };
        const auto below = std::find_if(options_[r].rbegin(), options_[r].rend(), is_below);
        const auto above = std::ranges::find_if(options_[r], is_above);
        if (below != options_[r].rend()) all.push_back(with(set, r, *below));
        if (above != options_[r].end()) all.push_back(with(set, r, *above));
    }
    all.push_back(set);
    double fixed = 0;
    for (std::size_t b = 0; b < bounds_.bounds.size(); ++b) {
        const Bound& bound = bounds_.bounds[b];
        const double least = worst.stretched_reserves[b];
        if (bound.part && !is_given(link_->parts[*bound.part])) continue;
        if (bound.timed || bound.chosen || !(least < 0) || !std::isfinite(least)) continue;
        const Scenario& wide = worst.stretched_scenarios[b];
        const Measurements values = measured(all, {&wide, 1}, options);
        const auto left = [&](std::size_t k) {
            return bound.reserve(values.at(k, bound.measure), wide.conditions.temperature,
                                 stretched_limit(bound, bound.value));
        };
        const double here = left(all.size() - 1);
        bool is_moved = false;
        for (std::size_t k = 0; k + 1 < all.size(); ++k) {
            is_moved = is_moved || !(std::abs(left(k) - here) < moved);
        }
        if (!is_moved) fixed += want_of(least);
    }
    return fixed;
}

// Of the circuit only the spreads of its figures change with the set.
LinkCircuit ValueProblem::circuit_with(const ValueSet& set) const {
    LinkCircuit circuit = *circuit_;
    for (std::size_t r = 0; r < count(); ++r) {
        circuit.parameters[to_index(slots_[r])].spread = choice(set, r).value;
    }
    return circuit;
}

// The worst cases of the promises in time, each by its own waveforms.
void ValueProblem::look_in_time(const ValueSet& set, const EngineOptions& options,
                                WorstScore& result) const {
    constexpr double coarse = 1e-5;  // tolerance of waveforms
    const LinkCircuit circuit = circuit_with(set);
    EngineOptions quiet = options;
    quiet.progress = {};
    for (std::size_t b = 0; b < bounds_.bounds.size(); ++b) {
        const Bound& bound = bounds_.bounds[b];
        if (!bound.timed) continue;
        const std::vector<TimedMeasure> measures = {bounds_.timed[*bound.timed]};
        const std::vector<Target> targets = {
            {.measure = 0, .sense = bound.sense, .magnitude = bound.magnitude, .derating = {}}};
        const WorstCases cases = find_worst_cases(
            circuit, ranges_, timed_measurer(circuit_->circuit, measures, {.tolerance = coarse}),
            targets, {}, quiet, Effort::guided);
        result.solved += cases.outcome.solved;
        const Extreme& extreme = cases.extremes[0];
        const double reserve =
            bound.reserve(extreme.value, extreme.specimen.conditions.temperature);
        result.reserves[b] = std::isnan(reserve) ? -infinity : reserve;
        result.scenarios[b] = scenario_of(extreme.specimen, set);
        result.scenarios[b].timed = true;
    }
}

// The worst cases of some bounds, into `result` where they are worse than what is there.
void ValueProblem::look(const ValueSet& set, const std::vector<std::size_t>& bounds,
                        std::span<const std::uint8_t> high, Effort effort,
                        const EngineOptions& options, WorstScore& result) const {
    const LinkCircuit circuit = circuit_with(set);
    std::vector<Target> targets;
    for (const auto b : bounds) {
        const Bound& bound = bounds_.bounds[b];
        targets.push_back(target_of(bound));
    }
    const WorstCases cases =
        find_worst_cases(circuit, ranges_, measurer_of(*engine_), targets, {}, options, effort);
    result.solved += cases.outcome.solved;
    result.alone += cases.outcome.by_single_points;
    for (std::size_t t = 0; t < bounds.size(); ++t) {
        const std::size_t b = bounds[t];
        const auto bound_value = rated(bounds_.bounds[b], set, high);
        if (!bound_value) continue;
        const Extreme& extreme = cases.extremes[t];
        double reserve = bounds_.bounds[b].reserve(
            extreme.value, extreme.specimen.conditions.temperature, *bound_value);
        if (std::isnan(reserve)) reserve = -infinity;
        if (!(reserve < result.reserves[b])) continue;
        result.reserves[b] = reserve;
        result.scenarios[b] = scenario_of(extreme.specimen, set);
    }
}

}  // namespace gapwright
