#include "design/value_search.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <limits>
#include <optional>
#include <set>
#include <span>
#include <utility>
#include <vector>
#include "design/value_problem.hpp"
#include "proof/worst_case.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::size_t new_scenarios = 6;  // that one worst case gives at most
constexpr std::size_t chunk = 1U << 16U;  // sets scored at once

// Ratios of a value to its neighbours, from step to step of the search.
constexpr std::array fine_steps = {2.15, 1.47, 1.21, 1.1, 1.05, 1.02, 1.01, 1.004, 1.001};
constexpr std::array coarse_steps = {2.15, 1.47, 1.21};

// A set under comparison.
struct Candidate {
    ValueSet set{};
    Score score;
};

class Search {
  public:
    Search(const ValueProblem& problem, const SearchOptions& options,
           std::vector<Scenario> scenarios)
        : problem_(problem),
          options_(options),
          quick_(options.engine),
          scenarios_(std::move(scenarios)) {
        quick_.lanes_only = problem.engine().plan().has_value();
        alone_left_ = options.most_alone;
    }

    std::optional<SearchResult> run() {
        if (options_.effort == Effort::quick) return run_quickly();
        std::size_t before = 0;  // sets' choices of the class before
        for (std::size_t parts = 1; parts <= options_.most_parts; ++parts) {
            const std::size_t choices = offer(parts);
            if (on_offer_ == 0 || choices == before || stopped()) continue;
            before = choices;
            search_class();
        }
        // What the search found is a hurdle that few sets take.
        const bool all =
            on_offer_ > 0 && on_offer_ <= static_cast<double>(options_.most_sets_in_turn);
        for (int round = 0; best_ && all && !stopped() && round < options_.most_rounds; ++round) {
            const auto guess = best_of_all();
            if (!guess || !go_on_from(*guess)) break;
        }
        if (!best_) return std::nullopt;
        best_->all_looked_at = all && !stopped() && !problem_.has_timed();
        best_->sets_on_offer = on_offer_;
        best_->scenarios = scenarios_;
        best_->stopped = stopped();
        return best_;
    }

  private:
    std::optional<SearchResult> run_quickly() {
        offer(options_.most_parts);
        if (on_offer_ == 0) return std::nullopt;
        // The nominal points tell where to look for a first worst case, and nothing more.
        std::optional<Candidate> guess;
        if (auto first = coarse(1); !first.empty()) guess = first.front();
        for (int round = 0; guess && round < options_.most_rounds && !stopped(); ++round) {
            if (!go_on_from(*guess)) break;
            std::optional<Candidate> next;
            consider({best_->set}, next, quick_);
            if (round == 0) {
                std::optional<Hurdle> hurdle;
                if (next) hurdle = Hurdle{next->score, options_.aim};
                for (const auto& start : coarse(1, hurdle)) {
                    if (!next || better(start.score, next->score, options_.aim)) next = start;
                }
            }
            if (next) descend(next, coarse_steps);
            guess = next;
        }
        if (!best_) return std::nullopt;
        best_->sets_on_offer = on_offer_;
        best_->scenarios = scenarios_;
        best_->stopped = stopped();
        return best_;
    }

    bool stopped() const { return options_.engine.stop.stop_requested(); }

    // Takes choices of up to so many parts into the search; how many those are.
    std::size_t offer(std::size_t parts) {
        choices_.clear();
        on_offer_ = 1;
        std::size_t all = 0;
        for (std::size_t r = 0; r < problem_.count(); ++r) {
            std::vector<std::uint32_t> fitting;
            for (const auto c : problem_.options(r)) {
                if (problem_.stock().choices[c].count <= parts) fitting.push_back(c);
            }
            all += fitting.size();
            on_offer_ *= static_cast<double>(fitting.size());
            choices_.push_back(std::move(fitting));
        }
        return all;
    }

    bool offered(const ValueSet& set) const {
        for (std::size_t r = 0; r < problem_.count(); ++r) {
            if (!std::ranges::binary_search(choices_[r], set[r])) return false;
        }
        return problem_.in_stock(set);
    }

    // The best among the choices that are in the search.
    void search_class() {
        std::vector<ValueSet> from;
        if (best_) from.push_back(best_->set);
        std::ranges::copy_if(options_.from, std::back_inserter(from),
                             [&](const ValueSet& set) { return offered(set); });
        // Until there are scenarios that matter, the best of the grid are not those that count.
        const bool grid_again = !best_;
        for (int round = 0; round < options_.most_rounds; ++round) {
            const auto guess = best_by_search(from, round == 0 || grid_again);
            if (!guess || !go_on_from(*guess)) break;
            from = {guess->set, best_->set};
        }
    }

    // Works out the worst case of the set that is best in the scenarios so far. False where that
    // gives no reason to look for another.
    bool go_on_from(const Candidate& guess) {
        const bool quick = options_.effort == Effort::quick;
        const WorstScore worst =
            problem_.worst(guess.set, quick ? quick_ : options_.engine, options_.effort);
        if (!best_ || better(worst.score, best_->worst.score, options_.aim)) {
            best_ = SearchResult{.set = guess.set, .worst = worst, .scenarios = {}};
            if (options_.found) options_.found(worst.score);
        }
        const bool news = take_scenarios(worst);
        return !stopped() && news && better(guess.score, best_->worst.score, options_.aim);
    }

    // The scenarios in which the least reserves lie; whether any is new.
    bool take_scenarios(const WorstScore& worst) {
        std::vector<std::size_t> order(worst.reserves.size());
        for (std::size_t b = 0; b < order.size(); ++b) order[b] = b;
        std::ranges::sort(order, {}, [&](std::size_t b) { return worst.reserves[b]; });
        std::size_t taken = 0;
        for (const auto b : order) {
            if (taken == new_scenarios || worst.reserves[b] == infinity) break;
            const Scenario& scenario = worst.scenarios[b];
            if (std::ranges::find(scenarios_, scenario) != scenarios_.end()) continue;
            // The newest first: it is the one that most sets fail in.
            scenarios_.insert(scenarios_.begin() + static_cast<std::ptrdiff_t>(taken), scenario);
            ++taken;
        }
        return taken > 0;
    }

    // Scores sets and keeps the best of them; true when it changed. Of those that lanes leave open
    // so many are solved alone.
    bool consider(const std::vector<ValueSet>& sets, std::optional<Candidate>& best,
                  const EngineOptions& engine, std::size_t alone = 64) const {
        std::optional<Hurdle> hurdle;
        if (best) hurdle = Hurdle{best->score, options_.aim};
        const auto scores = problem_.scores(sets, scenarios_, hurdle, engine);
        bool changed = false;
        for (std::size_t k = 0; k < sets.size(); ++k) {
            if (scores[k].open || scores[k].reserve == -infinity) continue;
            if (best && !better(scores[k], best->score, options_.aim)) continue;
            best = Candidate{sets[k], scores[k]};
            changed = true;
        }
        // A quick search passes them by.
        const std::size_t most =
            options_.effort == Effort::quick ? 0 : std::min(alone, alone_left_);
        const auto unsettled = still_open(sets, scores, best, most);
        alone_left_ -= unsettled.size();
        if (!unsettled.empty()) changed |= consider(unsettled, best, options_.engine);
        return changed;
    }

    // Sets that lanes have left open and that may be better; the most promising ones, where far
    // from anything of use there are many.
    std::vector<ValueSet> still_open(const std::vector<ValueSet>& sets,
                                     const std::vector<Score>& scores,
                                     const std::optional<Candidate>& best, std::size_t most) const {
        std::vector<std::size_t> open;
        for (std::size_t k = 0; k < sets.size(); ++k) {
            if (!scores[k].open) continue;
            if (!best || better(scores[k], best->score, options_.aim)) open.push_back(k);
        }
        std::ranges::stable_sort(open, [&](std::size_t a, std::size_t b) {
            return better(scores[a], scores[b], options_.aim);
        });
        open.resize(std::min(open.size(), most));
        std::vector<ValueSet> result;
        for (const auto k : open) result.push_back(sets[k]);
        return result;
    }

    // --- every set in turn ---

    std::optional<Candidate> best_of_all() const {
        std::optional<Candidate> best;
        // What is known of the best so far is a floor for all others.
        if (best_) consider({best_->set}, best, options_.engine);
        std::vector<ValueSet> sets;
        std::vector<std::size_t> digits(problem_.count(), 0);
        bool more = true;
        while (more && !stopped()) {
            ValueSet set{};
            for (std::size_t r = 0; r < digits.size(); ++r) set[r] = choices_[r][digits[r]];
            if (problem_.in_stock(set)) sets.push_back(set);
            more = count_on(digits);
            if (sets.size() < chunk && more) continue;
            consider(sets, best, quick_, sets.size());
            sets.clear();
        }
        return best;
    }

    bool count_on(std::vector<std::size_t>& digits) const {
        for (std::size_t r = 0; r < digits.size(); ++r) {
            if (++digits[r] < choices_[r].size()) return true;
            digits[r] = 0;
        }
        return false;
    }

    // --- from coarse to fine ---

    double ohms(std::size_t r, std::size_t position) const {
        return problem_.stock().choices[choices_[r][position]].value.nominal;
    }

    // Where the value nearest to `wanted` stands among the choices of resistor `r`; of alike ones
    // that of the fewest parts.
    std::size_t nearest(std::size_t r, double wanted) const {
        const auto& list = choices_[r];
        const auto at = std::ranges::lower_bound(list, wanted, {}, [&](std::uint32_t c) {
            return problem_.stock().choices[c].value.nominal;
        });
        auto position = static_cast<std::size_t>(at - list.begin());
        if (position == list.size()) return position - 1;
        if (position > 0 && wanted / ohms(r, position - 1) < ohms(r, position) / wanted) {
            --position;
            while (position > 0 && ohms(r, position - 1) == ohms(r, position)) --position;
        }
        return position;
    }

    std::size_t position_of(std::size_t r, std::uint32_t choice) const {
        return static_cast<std::size_t>(std::ranges::lower_bound(choices_[r], choice) -
                                        choices_[r].begin());
    }

    std::optional<Candidate> best_by_search(std::vector<ValueSet> from, bool grid) const {
        if (grid && options_.starts > 0) {
            for (const auto& start : coarse(options_.starts)) from.push_back(start.set);
        }
        std::optional<Candidate> best;
        for (const auto& start : from) {
            if (stopped()) break;
            std::optional<Candidate> here;
            consider({start}, here, quick_);
            if (!here) continue;
            descend(here, fine_steps);
            if (!best || better(here->score, best->score, options_.aim)) best = here;
        }
        if (best && !stopped()) polish(best);
        return best;
    }

    // The best of a grid of values, as dense as the number of resistors allows.
    // Those that are no better than `hurdle` are left out.
    std::vector<Candidate> coarse(std::size_t most,
                                  const std::optional<Hurdle>& hurdle = {}) const {
        const double each = std::pow(static_cast<double>(options_.coarse_sets),
                                     1.0 / static_cast<double>(problem_.count()));
        const auto points = static_cast<std::size_t>(std::clamp(each, 2.0, 60.0));
        std::vector<std::vector<std::uint32_t>> grid;
        for (std::size_t r = 0; r < problem_.count(); ++r) {
            std::set<std::uint32_t> values;
            const double low = std::log(ohms(r, 0));
            const double high = std::log(ohms(r, choices_[r].size() - 1));
            for (std::size_t k = 0; k < points; ++k) {
                const double share = static_cast<double>(k) / static_cast<double>(points - 1);
                values.insert(choices_[r][nearest(r, std::exp(std::lerp(low, high, share)))]);
            }
            grid.emplace_back(values.begin(), values.end());
        }
        std::vector<ValueSet> sets = {ValueSet{}};
        for (std::size_t r = 0; r < grid.size(); ++r) {
            std::vector<ValueSet> more;
            for (const auto& set : sets) {
                for (const auto c : grid[r]) {
                    more.push_back(set);
                    more.back()[r] = c;
                }
            }
            sets = std::move(more);
        }
        keep_in_stock(sets);
        const auto scores = problem_.scores(sets, scenarios_, hurdle, quick_);
        std::vector<Candidate> all;
        for (std::size_t k = 0; k < sets.size(); ++k) {
            if (scores[k].open || scores[k].reserve == -infinity) continue;
            all.push_back({sets[k], scores[k]});
        }
        const auto unsettled =
            still_open(sets, scores, {}, options_.effort == Effort::quick ? 0 : 64);
        const auto settled = problem_.scores(unsettled, scenarios_, {}, options_.engine);
        for (std::size_t k = 0; k < unsettled.size(); ++k) {
            if (settled[k].reserve > -infinity) all.push_back({unsettled[k], settled[k]});
        }
        const std::size_t kept = std::min(most, all.size());
        std::ranges::partial_sort(all, all.begin() + static_cast<std::ptrdiff_t>(kept),
                                  [&](const Candidate& a, const Candidate& b) {
                                      return better(a.score, b.score, options_.aim);
                                  });
        all.resize(kept);
        return all;
    }

    // Every resistor one step up, down, or not at all, in all combinations (of many resistors two
    // at a time); smaller steps where that helps no more.
    void descend(std::optional<Candidate>& best, std::span<const double> steps) const {
        for (const double step : steps) {
            for (int moves = 0; moves < 60 && !stopped(); ++moves) {
                if (!consider(around(best->set, step), best, quick_)) break;
            }
        }
    }

    std::vector<ValueSet> around(const ValueSet& centre, double step) const {
        struct Move {
            ValueSet set;
            std::size_t moved;  // resistors
        };
        const std::size_t most_moved = problem_.count() > 3 ? 2 : problem_.count();
        std::vector<Move> moves = {{centre, 0}};
        for (std::size_t r = 0; r < problem_.count(); ++r) {
            const std::size_t here = position_of(r, centre[r]);
            const double value = ohms(r, here);
            std::vector<Move> more = moves;
            for (const double wanted : {value / step, value * step}) {
                const std::size_t there = nearest(r, wanted);
                if (there == here) continue;
                for (const auto& move : moves) {
                    if (move.moved == most_moved) continue;
                    more.push_back({move.set, move.moved + 1});
                    more.back().set[r] = choices_[r][there];
                }
            }
            moves = std::move(more);
        }
        std::vector<ValueSet> sets;
        for (const auto& move : moves) sets.push_back(move.set);
        keep_in_stock(sets);
        return sets;
    }

    // The values on either side of the best, one resistor at a time and two together, in the order
    // of the stock: close by, tolerance and number of parts count as much as the value.
    void polish(std::optional<Candidate>& best) const {
        constexpr std::ptrdiff_t alone = 200;
        constexpr std::ptrdiff_t together = 16;
        for (int round = 0; round < 20 && !stopped(); ++round) {
            bool changed = false;
            for (std::size_t r = 0; r < problem_.count(); ++r) {
                auto line = window(best->set, r, alone);
                keep_in_stock(line);
                changed |= consider(line, best, quick_);
                changed |= consider(fewer_parts(best->set, r), best, quick_);
                for (std::size_t other = 0; other < r; ++other) {
                    std::vector<ValueSet> sets;
                    for (const auto& set : window(best->set, r, together)) {
                        const auto more = window(set, other, together);
                        sets.insert(sets.end(), more.begin(), more.end());
                    }
                    keep_in_stock(sets);
                    changed |= consider(sets, best, quick_);
                }
            }
            if (!changed) return;
        }
    }

    // Not before both of two resistors have changed: they may swap parts.
    void keep_in_stock(std::vector<ValueSet>& sets) const {
        std::erase_if(sets, [&](const ValueSet& set) { return !problem_.in_stock(set); });
    }

    std::vector<ValueSet> window(const ValueSet& centre, std::size_t r,
                                 std::ptrdiff_t reach) const {
        std::vector<ValueSet> sets;
        const auto here = static_cast<std::ptrdiff_t>(position_of(r, centre[r]));
        const auto last = static_cast<std::ptrdiff_t>(choices_[r].size()) - 1;
        for (auto k = std::max<std::ptrdiff_t>(0, here - reach); k <= std::min(last, here + reach);
             ++k) {
            ValueSet set = centre;
            set[r] = choices_[r][static_cast<std::size_t>(k)];
            sets.push_back(set);
        }
        return sets;
    }

    // Every choice of one part in place of what resistor `r` is made of.
    std::vector<ValueSet> fewer_parts(const ValueSet& centre, std::size_t r) const {
        std::vector<ValueSet> sets;
        if (problem_.choice(centre, r).count == 1) return sets;
        for (const auto c : choices_[r]) {
            if (problem_.stock().choices[c].count > 1) continue;
            ValueSet set = centre;
            set[r] = c;
            if (problem_.in_stock(set)) sets.push_back(set);
        }
        return sets;
    }

    const ValueProblem& problem_;
    const SearchOptions& options_;
    EngineOptions quick_;  // for sets that are only passed by
    std::vector<Scenario> scenarios_;
    std::vector<std::vector<std::uint32_t>> choices_;
    double on_offer_ = 0;
    mutable std::size_t alone_left_ = 0;  // of most_alone
    std::optional<SearchResult> best_;
};

}  // namespace

std::optional<SearchResult> search_values(const ValueProblem& problem, const SearchOptions& options,
                                          std::vector<Scenario> scenarios) {
    return Search(problem, options, std::move(scenarios)).run();
}

}  // namespace gapwright
