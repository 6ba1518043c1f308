// Scores of many sets of values in given scenarios. Internal to the folder.
#pragma once

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
#include "proof/search/worst_case.hpp"
#include "time/timed_measure.hpp"
namespace gapwright {

// What a bound is with every spread stretched; a value chosen brings its own power along.
inline double stretched_limit(const Bound& bound, double rated) {
    return bound.chosen ? rated : bound.stretched(rated, plenty_of_stretch);
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
            scores_[k].reserve = scores_[k].spare = std::numeric_limits<double>::infinity();
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
        double reserve = std::numeric_limits<double>::infinity();
        double spare = std::numeric_limits<double>::infinity();
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
            if (std::isnan(reserve))
                reserve = -std::numeric_limits<double>::infinity();  // no operating point
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

}  // namespace gapwright
