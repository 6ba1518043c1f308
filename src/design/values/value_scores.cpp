// Scores of sets of values: in given scenarios for many sets at once, and at one set's worst case.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <numeric>
#include <optional>
#include <span>
#include <tuple>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "design/values/bounds.hpp"
#include "design/values/practice.hpp"
#include "design/values/value_problem.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/worst_case.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// A reserve in steps of what counts as equal.
std::int64_t steps_of(double reserve) {
    constexpr double most = 1e6;
    return static_cast<std::int64_t>(
        std::llround(std::clamp(reserve, -most, most) / equal_reserves));
}

constexpr double want_scale = 0.2;  // of a bound (own choice)

ValueSet with(ValueSet set, std::size_t r, std::uint32_t choice) {
    set[r] = choice;
    return set;
}

// What a bound is with every spread stretched; a value chosen brings its own power along.
double stretched_limit(const Bound& bound, double rated) {
    return bound.chosen ? rated : bound.stretched(rated, plenty_of_stretch);
}

Target target_of(const Bound& bound) {
    return {.measure = bound.measure,
            .sense = bound.sense,
            .magnitude = bound.magnitude,
            .derating = bound.derating};
}

// Steps of a figure from zero. Zero itself lies in the middle of its step, so that rounding never
// tells two zeros apart.
std::int64_t steps_of(double value, double step) {
    constexpr double most = 1e9;
    return static_cast<std::int64_t>(std::llround(std::min(value / step, most)));
}

// Currents that differ by less than this share are the same current.
std::int64_t current_step(double current) {
    constexpr double least = 1e-9;  // A
    constexpr double step = 0.05;
    return std::llround(std::log(std::max(current, least) / least) / step);
}

}  // namespace

Rank rank_of(const Score& score) {
    constexpr double spare_step = 1e-3;  // of a bound
    constexpr double want_step = 0.1;
    constexpr double practice_step = 0.25;
    constexpr double fine_practice_step = 0.05;
    constexpr double unusual_step = 0.5;
    constexpr double far_below = -1e6;
    return {.missing = steps_of(-std::clamp(score.spare, far_below, 0.0), spare_step),
            .want = steps_of(score.want, want_step),
            .practice = steps_of(score.practice, practice_step),
            .parts = score.parts,
            .fine_practice = steps_of(score.practice, fine_practice_step),
            .ordinary = steps_of(score.unusual, unusual_step),
            .current = current_step(score.current)};
}

double near_of(double reserve) {
    const double wanting = std::clamp((want_scale - reserve) / want_scale, 0.0, 1.0);
    return wanting * wanting;
}

double want_of(double stretched_reserve) {
    constexpr double scale = want_scale;
    constexpr double most = 10;    // scales: what is so far off is broken altogether
    if (!(stretched_reserve < 0)) return 0;
    const double wanting = std::min(-stretched_reserve / scale, most);
    return wanting * wanting;
}

bool better(const Score& a, const Score& b, Aim aim) {
    switch (aim) {
        case Aim::first_choice:
            return rank_of(a) < rank_of(b);
        case Aim::least_current: {
            const auto spare_a = std::min<std::int64_t>(0, steps_of(a.spare));
            const auto spare_b = std::min<std::int64_t>(0, steps_of(b.spare));
            if (spare_a != spare_b) return spare_a > spare_b;
            const Rank x = rank_of(a);
            const Rank y = rank_of(b);
            return std::tie(x.practice, x.current, x.parts, x.fine_practice, x.want) <
                   std::tie(y.practice, y.current, y.parts, y.fine_practice, y.want);
        }
        case Aim::most_reserve:
            break;
    }
    const auto reserve_a = steps_of(a.reserve);
    const auto reserve_b = steps_of(b.reserve);
    if (reserve_a != reserve_b) return reserve_a > reserve_b;
    if (a.parts != b.parts) return a.parts < b.parts;
    return a.current < b.current;
}

// Scores of many sets, scenario by scenario.
class Scorer {
  public:
    Scorer(const ValueProblem& problem, std::span<const ValueSet> sets,
           const std::optional<Hurdle>& hurdle, const EngineOptions& options)
        : problem_(problem), sets_(sets), hurdle_(hurdle), options_(options) {
        alive_.resize(sets.size());
        for (std::size_t k = 0; k < sets.size(); ++k) alive_[k] = static_cast<std::uint32_t>(k);
        scores_.resize(sets.size());
        high_.assign(sets.size() * problem.bounds_.levels.size(), 0);
        missing_.assign(sets.size() * columns(), 0);
        for (std::size_t k = 0; k < sets.size(); ++k) {
            scores_[k].reserve = scores_[k].spare = infinity;
            scores_[k].want = 0;
            for (std::size_t r = 0; r < problem.count(); ++r) {
                const Choice& choice = problem.choice(sets[k], r);
                scores_[k].parts += choice.count;
                scores_[k].unusual += std::abs(std::log10(choice.value.nominal / usual_ohms));
            }
            look_at_values(k);
            sum_up(k);
        }
    }

    std::vector<Score> run(std::span<const Scenario> scenarios) {
        // Most sets fail in the scenario that comes first: it pays to look there before anything
        // else, although levels do not count before the nominal point is known.
        if (hurdle_ && !scenarios.empty() && sets_.size() > few) {
            run_batch(scenarios.first(1), Pass::without_levels);
        }
        const Scenario nominal = problem_.nominal();
        run_batch({&nominal, 1}, Pass::nominal);
        std::size_t next = 0;
        while (next < scenarios.size() && !alive_.empty()) {
            // Few sets: many scenarios at once; many sets: one, so that most are dropped early.
            const std::size_t most = std::max<std::size_t>(1, few / alive_.size());
            const std::size_t taken = std::min(most, scenarios.size() - next);
            run_batch(scenarios.subspan(next, taken), Pass::full);
            next += taken;
        }
        if (problem_.timed_) run_timed(scenarios);
        return std::move(scores_);
    }

    // Of a set that was run: on which side of its undefined range each level lies.
    std::span<const std::uint8_t> levels_of(std::size_t set) const {
        const std::size_t levels = problem_.bounds_.levels.size();
        return std::span(high_).subspan(set * levels, levels);
    }

  private:
    // A row a set or specimen: what is wanting at each bound, then how far each check of good
    // practice is missed.
    std::size_t columns() const {
        return problem_.bounds_.bounds.size() + problem_.practice_.size();
    }
    std::size_t column_of(const PracticeCheck& check) const {
        return problem_.bounds_.bounds.size() +
               static_cast<std::size_t>(&check - problem_.practice_.data());
    }

    // What the values themselves say, whatever the specimen.
    void look_at_values(std::size_t set) {
        for (const auto& check : problem_.practice_) {
            if (!check.chosen) continue;
            const double ohms = problem_.choice(sets_[set], *check.chosen).value.nominal;
            missing_[set * columns() + column_of(check)] =
                static_cast<float>(value_shortfall(check, ohms).share);
        }
    }

    void sum_up(std::size_t set) {
        const auto row = std::span(missing_).subspan(set * columns(), columns());
        const std::size_t bounds = problem_.bounds_.bounds.size();
        Score& score = scores_[set];
        score.want =
            std::accumulate(row.begin(), row.begin() + static_cast<std::ptrdiff_t>(bounds), 0.0);
        score.practice =
            std::accumulate(row.begin() + static_cast<std::ptrdiff_t>(bounds), row.end(), 0.0);
    }

    static constexpr double usual_ohms = 4.7e3;
    static constexpr std::size_t few = 2048;  // specimens: too few to be worth a look ahead
    enum class Pass : std::uint8_t { without_levels, nominal, full };

    // What one specimen comes to.
    struct Least {
        double reserve = infinity;
        double spare = infinity;
        std::size_t bound = 0;
        bool open = false;
    };

    void run_batch(std::span<const Scenario> scenarios, Pass pass) {
        const std::size_t count = alive_.size() * scenarios.size();
        least_.assign(count, {});
        batch_.assign(count * columns(), 0);
        const SpecimenSource source =
            problem_.specimens(alive_.size(), scenarios,
                               [&](std::size_t k) -> const ValueSet& { return sets_[alive_[k]]; });
        problem_.engine_->run(
            source,
            [&](std::size_t, const MeasuredGroup& group) {
                for (std::size_t lane = 0; lane < group.count; ++lane) {
                    const std::size_t k = group.first + lane;
                    const std::uint32_t set = alive_[k / scenarios.size()];
                    if (pass == Pass::nominal) note_nominal(set, group, lane);
                    const auto row = std::span(batch_).subspan(k * columns(), columns());
                    least_[k] =
                        least_of(set, scenarios[k % scenarios.size()], pass, group, lane, row);
                    if (scenarios[k % scenarios.size()].stretched) continue;
                    if (pass != Pass::without_levels) look_at_practice(pass, group, lane, row);
                }
            },
            options_);
        take(scenarios.size());
    }

    // On which side of its undefined range each level lies, and what the supplies give.
    void note_nominal(std::uint32_t set, const MeasuredGroup& group, std::size_t lane) {
        const Bounds& bounds = problem_.bounds_;
        for (std::size_t l = 0; l < bounds.levels.size(); ++l) {
            const auto& level = bounds.levels[l];
            const double nominal = group.at(lane, level.measure);
            auto& side = high_[set * bounds.levels.size() + l];
            side = level.limit.is_high(nominal) ? 1 : 0;
            if (std::isnan(nominal) && options_.lanes_only) side = ValueProblem::unknown_side;
        }
        for (const auto& state : bounds.supply_currents) {
            double sum = 0;
            for (const auto m : state) sum += std::max(0.0, group.at(lane, m));
            scores_[set].current = std::max(scores_[set].current, sum);
        }
    }

    Least least_of(std::uint32_t set, const Scenario& scenario, Pass pass,
                   const MeasuredGroup& group, std::size_t lane, std::span<float> row) const {
        const Bounds& bounds = problem_.bounds_;
        const auto high = levels_of(set);
        Least least;
        for (std::size_t b = 0; b < bounds.bounds.size(); ++b) {
            const Bound& bound = bounds.bounds[b];
            if (bound.timed || (bound.level && pass == Pass::without_levels)) continue;
            const auto rated = problem_.rated(bound, sets_[set], high);
            if (!rated) continue;
            if (scenario.stretched) {
                const double left =
                    bound.reserve(group.at(lane, bound.measure), scenario.conditions.temperature,
                                  stretched_limit(bound, *rated));
                row[b] = static_cast<float>(std::isnan(left) ? 0 : want_of(left));
                continue;
            }
            double reserve = bound.reserve(group.at(lane, bound.measure),
                                           scenario.conditions.temperature, *rated);
            if (std::isnan(reserve) && options_.lanes_only) {
                least.open = true;
                continue;
            }
            if (std::isnan(reserve)) reserve = -infinity;  // no operating point
            if (reserve < least.reserve) {
                least.reserve = reserve;
                least.bound = b;
            }
            least.spare = std::min(least.spare, reserve - bound.asked);
            row[b] = static_cast<float>(near_of(reserve));
            if (bound.is_power || bound.is_voltage) note_reserve(b, reserve, row);
        }
        return least;
    }

    void note_reserve(std::size_t bound, double reserve, std::span<float> row) const {
        const auto check =
            std::ranges::find(problem_.practice_, std::optional(bound), &PracticeCheck::bound);
        if (check == problem_.practice_.end()) return;
        row[column_of(*check)] = static_cast<float>(reserve_shortfall(*check, reserve).share);
    }

    void look_at_practice(Pass pass, const MeasuredGroup& group, std::size_t lane,
                          std::span<float> row) const {
        for (const auto& check : problem_.practice_) {
            if (check.measures.empty()) continue;
            if (is_nominal(check.practice) != (pass == Pass::nominal)) continue;
            const auto at = [&](std::size_t measure) { return group.at(lane, measure); };
            row[column_of(check)] = static_cast<float>(shortfall(check, at).share);
        }
    }

    // Promises in time, the best at rest first. A set that is behind enough others without them is
    // left at that; what takes too many new waveforms stays open.
    void run_timed(std::span<const Scenario> scenarios) {
        const Aim aim = hurdle_ ? hurdle_->aim : Aim::most_reserve;
        std::vector<Scenario> timed;
        for (const auto& scenario : scenarios) {
            if (scenario.timed && timed.size() < most_timed) timed.push_back(scenario);
        }
        if (timed.empty()) timed.push_back(problem_.nominal());
        std::ranges::stable_sort(alive_, [&](std::uint32_t a, std::uint32_t b) {
            return better(scores_[a], scores_[b], aim);
        });
        std::vector<Score> done;
        int new_cells = most_new_cells;
        for (const std::uint32_t set : alive_) {
            if (done.size() >= enough && !better(scores_[set], done[enough - 1], aim)) break;
            for (const auto& scenario : timed) add_timed(set, scenario, new_cells);
            if (scores_[set].open) continue;
            const auto place = std::ranges::upper_bound(
                done, scores_[set],
                [&](const Score& a, const Score& b) { return better(a, b, aim); });
            done.insert(place, scores_[set]);
        }
        std::erase_if(alive_, [&](std::uint32_t set) {
            return hurdle_ && !better(scores_[set], hurdle_->score, hurdle_->aim);
        });
    }

    void add_timed(std::uint32_t set, const Scenario& scenario, int& new_cells) {
        Score& score = scores_[set];
        if (score.open) return;
        std::vector<double> ohms;
        for (std::size_t r = 0; r < problem_.count(); ++r) {
            ohms.push_back(at_share(problem_.choice(sets_[set], r).value, scenario.share[r]));
        }
        const auto values =
            problem_.timed_->at(problem_.specimen_of(scenario), ohms, options_, new_cells);
        if (!values) {
            score.open = true;
            return;
        }
        const auto& bounds = problem_.bounds_.bounds;
        for (std::size_t b = 0; b < bounds.size(); ++b) {
            if (!bounds[b].timed) continue;
            const double reserve =
                bounds[b].reserve((*values)[*bounds[b].timed], scenario.conditions.temperature);
            if (reserve < score.reserve) {
                score.reserve = reserve;
                score.bound = b;
            }
            score.spare = std::min(score.spare, reserve - bounds[b].asked);
        }
    }

    static constexpr int most_new_cells = 64;     // of one call
    static constexpr std::size_t most_timed = 3;  // scenarios: the newest stand first
    static constexpr std::size_t enough = 8;      // sets that are known to be better

    void take(std::size_t scenarios) {
        for (std::size_t k = 0; k < least_.size(); ++k) {
            Score& score = scores_[alive_[k / scenarios]];
            if (least_[k].reserve < score.reserve) {
                score.reserve = least_[k].reserve;
                score.bound = least_[k].bound;
            }
            score.spare = std::min(score.spare, least_[k].spare);
            score.open |= least_[k].open;
            const std::size_t set = alive_[k / scenarios];
            for (std::size_t c = 0; c < columns(); ++c) {
                float& worst = missing_[set * columns() + c];
                worst = std::max(worst, batch_[k * columns() + c]);
            }
        }
        for (const std::uint32_t set : alive_) sum_up(set);
        std::erase_if(alive_, [&](std::uint32_t set) {
            return hurdle_ && !better(scores_[set], hurdle_->score, hurdle_->aim);
        });
    }

    const ValueProblem& problem_;
    std::span<const ValueSet> sets_;
    const std::optional<Hurdle>& hurdle_;
    const EngineOptions& options_;
    std::vector<std::uint32_t> alive_;  // sets that are not below the floor yet
    std::vector<Score> scores_;
    std::vector<std::uint8_t> high_;  // by set and level
    std::vector<Least> least_;        // by specimen of the batch
    std::vector<float> missing_;      // a row a set: the worst so far
    std::vector<float> batch_;        // a row a specimen of the batch
};

std::vector<Score> ValueProblem::scores(std::span<const ValueSet> sets,
                                        std::span<const Scenario> scenarios,
                                        const std::optional<Hurdle>& hurdle,
                                        const EngineOptions& options) const {
    return Scorer(*this, sets, hurdle, options).run(scenarios);
}

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
