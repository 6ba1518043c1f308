#include "design/values/value_search.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <iterator>
#include <limits>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "design/values/aim.hpp"
#include "design/values/score.hpp"
#include "design/values/set_moves.hpp"
#include "design/values/value_problem.hpp"
#include "population/engine.hpp"
#include "proof/search/worst_case.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::size_t new_scenarios = 6;  // that one worst case gives at most
constexpr std::size_t chunk = 1U << 16U;  // sets scored at once

// Ratios of a value to its neighbours, from step to step of the search.
constexpr std::array fine_steps = {2.15, 1.47, 1.21, 1.1, 1.05, 1.02, 1.01, 1.004, 1.001};
constexpr std::array coarse_steps = {2.15, 1.47, 1.21};

// The same throughout one search.
struct Task {
    const ValueProblem& problem;
    const SearchOptions& options;
    EngineOptions quick;  // for sets that are only passed by

    bool is_quick() const { return options.effort == Effort::quick; }
    bool stopped() const { return options.engine.stop.stop_requested(); }
    bool is_better(const Score& a, const Score& b) const { return better(a, b, options.aim); }
};

// What a search has learnt.
struct Learnt {
    std::vector<Scenario> scenarios;
    std::optional<SearchResult> best;
    std::size_t alone_left = 0;  // of most_alone
};

// A set under comparison.
struct Candidate {
    ValueSet set{};
    Score score;
};

// Sets that lanes have left open and that may be better; the most promising ones, where far from
// anything of use there are many.
std::vector<ValueSet> still_open(const Task& task, const std::vector<ValueSet>& sets,
                                 const std::vector<Score>& scores,
                                 const std::optional<Candidate>& best, std::size_t most) {
    std::vector<std::size_t> open;
    for (std::size_t k = 0; k < sets.size(); ++k) {
        if (!scores[k].open) continue;
        if (!best || task.is_better(scores[k], best->score)) open.push_back(k);
    }
    std::ranges::stable_sort(
        open, [&](std::size_t a, std::size_t b) { return task.is_better(scores[a], scores[b]); });
    open.resize(std::min(open.size(), most));
    std::vector<ValueSet> result;
    for (const auto k : open) result.push_back(sets[k]);
    return result;
}

// Scores sets and keeps the best of them; true when it changed. Of those that lanes leave open so
// many are solved alone.
bool consider(const Task& task, Learnt& learnt, const std::vector<ValueSet>& sets,
              std::optional<Candidate>& best, const EngineOptions& engine, std::size_t alone = 64) {
    std::optional<Hurdle> hurdle;
    if (best) hurdle = Hurdle{best->score, task.options.aim};
    const auto scores = task.problem.scores(sets, learnt.scenarios, hurdle, engine);
    bool changed = false;
    for (std::size_t k = 0; k < sets.size(); ++k) {
        if (scores[k].open || scores[k].reserve == -infinity) continue;
        if (best && !task.is_better(scores[k], best->score)) continue;
        best = Candidate{sets[k], scores[k]};
        changed = true;
    }
    // A quick search passes them by.
    const std::size_t most = task.is_quick() ? 0 : std::min(alone, learnt.alone_left);
    const auto unsettled = still_open(task, sets, scores, best, most);
    learnt.alone_left -= unsettled.size();
    if (!unsettled.empty()) {
        changed |= consider(task, learnt, unsettled, best, task.options.engine);
    }
    return changed;
}

// The indices of the least of some figures, the least first; none that are infinite.
std::vector<std::size_t> least_of(const std::vector<double>& figures) {
    std::vector<std::size_t> order;
    for (std::size_t b = 0; b < figures.size(); ++b) {
        if (figures[b] < infinity) order.push_back(b);
    }
    std::ranges::sort(order, {}, [&](std::size_t b) { return figures[b]; });
    return order;
}

// The scenarios in which the least reserves lie, and those in which most is wanting when they are
// stretched; whether any is new.
bool take_scenarios(const Task& task, const WorstScore& worst, std::vector<Scenario>& scenarios) {
    std::size_t taken = 0;
    const auto take = [&](const Scenario& scenario) {
        if (std::ranges::find(scenarios, scenario) != scenarios.end()) return;
        // The newest first: it is the one that most sets fail in.
        scenarios.insert(scenarios.begin() + static_cast<std::ptrdiff_t>(taken), scenario);
        ++taken;
    };
    for (const auto b : least_of(worst.reserves)) {
        if (taken == new_scenarios) break;
        take(worst.scenarios[b]);
    }
    if (task.options.aim != Aim::first_choice) return taken > 0;
    const std::size_t most = taken + new_scenarios;
    for (const auto b : least_of(worst.stretched_reserves)) {
        if (taken == most || !(worst.stretched_reserves[b] < 0)) break;
        take(worst.stretched_scenarios[b]);
    }
    return taken > 0;
}

// Works out the worst case of the set that is best in the scenarios so far. False where that gives
// no reason to look for another.
bool go_on_from(const Task& task, const Candidate& guess, Learnt& learnt) {
    const WorstScore worst = task.problem.worst(
        guess.set, task.is_quick() ? task.quick : task.options.engine, task.options.effort);
    if (!learnt.best || task.is_better(worst.score, learnt.best->worst.score)) {
        learnt.best = SearchResult{.set = guess.set, .worst = worst, .scenarios = {}};
        if (task.options.found) task.options.found(worst.score);
    }
    const bool news = take_scenarios(task, worst, learnt.scenarios);
    return !task.stopped() && news && task.is_better(guess.score, learnt.best->worst.score);
}

// --- every set in turn ---

bool count_on(const Offer& offer, std::vector<std::size_t>& digits) {
    for (std::size_t r = 0; r < digits.size(); ++r) {
        if (++digits[r] < offer.choices[r].size()) return true;
        digits[r] = 0;
    }
    return false;
}

std::optional<Candidate> best_of_all(const Task& task, const Offer& offer, Learnt& learnt) {
    std::optional<Candidate> best;
    // What is known of the best so far is a floor for all others.
    if (learnt.best) consider(task, learnt, {learnt.best->set}, best, task.options.engine);
    std::vector<ValueSet> sets;
    std::vector<std::size_t> digits(task.problem.count(), 0);
    bool more = true;
    while (more && !task.stopped()) {
        ValueSet set{};
        for (std::size_t r = 0; r < digits.size(); ++r) set[r] = offer.choices[r][digits[r]];
        if (task.problem.in_stock(set)) sets.push_back(set);
        more = count_on(offer, digits);
        if (sets.size() < chunk && more) continue;
        consider(task, learnt, sets, best, task.quick, sets.size());
        sets.clear();
    }
    return best;
}

// --- from coarse to fine ---

// The best of a grid of values, as dense as the number of resistors allows. Those that are no
// better than `hurdle` are left out.
std::vector<Candidate> coarse(const Task& task, const Offer& offer,
                              const std::vector<Scenario>& scenarios, std::size_t most,
                              const std::optional<Hurdle>& hurdle = {}) {
    const auto sets = grid_of(task.problem, offer, task.options.coarse_sets);
    const auto scores = task.problem.scores(sets, scenarios, hurdle, task.quick);
    std::vector<Candidate> all;
    for (std::size_t k = 0; k < sets.size(); ++k) {
        if (scores[k].open || scores[k].reserve == -infinity) continue;
        all.push_back({sets[k], scores[k]});
    }
    const auto unsettled = still_open(task, sets, scores, {}, task.is_quick() ? 0 : 64);
    const auto settled = task.problem.scores(unsettled, scenarios, {}, task.options.engine);
    for (std::size_t k = 0; k < unsettled.size(); ++k) {
        if (settled[k].reserve > -infinity) all.push_back({unsettled[k], settled[k]});
    }
    const std::size_t kept = std::min(most, all.size());
    std::ranges::partial_sort(
        all, all.begin() + static_cast<std::ptrdiff_t>(kept),
        [&](const Candidate& a, const Candidate& b) { return task.is_better(a.score, b.score); });
    all.resize(kept);
    return all;
}

// One step of all resistors after the other; smaller steps where that helps no more.
void descend(const Task& task, const Offer& offer, Learnt& learnt, std::span<const double> steps,
             std::optional<Candidate>& best) {
    for (const double step : steps) {
        for (int moves = 0; moves < 60 && !task.stopped(); ++moves) {
            const auto sets = around(task.problem, offer, best->set, step);
            if (!consider(task, learnt, sets, best, task.quick)) break;
        }
    }
}

// The values on either side of the best, one resistor at a time and two together, in the order of
// the stock: close by, tolerance and number of parts count as much as the value.
void polish(const Task& task, const Offer& offer, Learnt& learnt, std::optional<Candidate>& best) {
    constexpr std::ptrdiff_t alone = 200;
    constexpr std::ptrdiff_t together = 16;
    const ValueProblem& problem = task.problem;
    for (int round = 0; round < 20 && !task.stopped(); ++round) {
        bool changed = false;
        const auto look = [&](const std::vector<ValueSet>& sets) {
            changed |= consider(task, learnt, sets, best, task.quick);
        };
        for (std::size_t r = 0; r < problem.count(); ++r) {
            look(in_stock(problem, window(offer, best->set, r, alone)));
            look(fewer_parts(problem, offer, best->set, r));
            for (std::size_t other = 0; other < r; ++other) {
                // Not before both have changed: they may swap parts.
                look(in_stock(problem, window(offer, best->set, r, other, together)));
            }
        }
        if (!changed) return;
    }
}

std::optional<Candidate> best_by_search(const Task& task, const Offer& offer, Learnt& learnt,
                                        std::vector<ValueSet> from, bool grid) {
    if (grid && task.options.starts > 0) {
        for (const auto& start : coarse(task, offer, learnt.scenarios, task.options.starts)) {
            from.push_back(start.set);
        }
    }
    std::optional<Candidate> best;
    for (const auto& start : from) {
        if (task.stopped()) break;
        std::optional<Candidate> here;
        consider(task, learnt, {start}, here, task.quick);
        if (!here) continue;
        descend(task, offer, learnt, fine_steps, here);
        if (!best || task.is_better(here->score, best->score)) best = here;
    }
    if (best && !task.stopped()) polish(task, offer, learnt, best);
    return best;
}

// The best among the choices that are on offer.
void search_among(const Task& task, const Offer& offer, Learnt& learnt) {
    std::vector<ValueSet> from;
    if (learnt.best) from.push_back(learnt.best->set);
    std::ranges::copy_if(task.options.from, std::back_inserter(from),
                         [&](const ValueSet& set) { return is_offered(task.problem, offer, set); });
    // Until there are scenarios that matter, the best of the grid are not those that count.
    const bool grid_again = !learnt.best;
    for (int round = 0; round < task.options.most_rounds; ++round) {
        const auto guess = best_by_search(task, offer, learnt, from, round == 0 || grid_again);
        if (!guess || !go_on_from(task, *guess, learnt)) break;
        from = {guess->set, learnt.best->set};
    }
}

// --- the whole search ---

std::optional<SearchResult> result_of(const Task& task, const Offer& offer, Learnt learnt) {
    if (!learnt.best) return std::nullopt;
    learnt.best->sets_on_offer = offer.sets;
    learnt.best->scenarios = std::move(learnt.scenarios);
    learnt.best->stopped = task.stopped();
    return std::move(learnt.best);
}

std::optional<SearchResult> search_quickly(const Task& task, Learnt learnt) {
    const Offer offer = offer_of(task.problem, task.options.most_parts);
    if (offer.sets == 0) return std::nullopt;
    // The nominal points tell where to look for a first worst case, and nothing more.
    std::optional<Candidate> guess;
    if (auto first = coarse(task, offer, learnt.scenarios, 1); !first.empty())
        guess = first.front();
    for (int round = 0; guess && round < task.options.most_rounds && !task.stopped(); ++round) {
        if (!go_on_from(task, *guess, learnt)) break;
        std::optional<Candidate> next;
        consider(task, learnt, {learnt.best->set}, next, task.quick);
        if (round == 0) {
            std::optional<Hurdle> hurdle;
            if (next) hurdle = Hurdle{next->score, task.options.aim};
            for (const auto& start : coarse(task, offer, learnt.scenarios, 1, hurdle)) {
                if (!next || task.is_better(start.score, next->score)) next = start;
            }
        }
        if (next) descend(task, offer, learnt, coarse_steps, next);
        guess = next;
    }
    return result_of(task, offer, std::move(learnt));
}

}  // namespace

std::optional<SearchResult> search_values(const ValueProblem& problem, const SearchOptions& options,
                                          std::vector<Scenario> scenarios) {
    Task task{problem, options, options.engine};
    task.quick.lanes_only = problem.engine().plan().has_value();
    Learnt learnt{std::move(scenarios), {}, options.most_alone};
    if (task.is_quick()) return search_quickly(task, std::move(learnt));
    Offer offer;
    std::size_t before = 0;  // sets' choices of the class before
    for (std::size_t parts = 1; parts <= options.most_parts; ++parts) {
        offer = offer_of(problem, parts);
        if (offer.sets == 0 || offer.all == before || task.stopped()) continue;
        before = offer.all;
        search_among(task, offer, learnt);
    }
    // What the search found is a hurdle that few sets take.
    const bool all = offer.sets > 0 && offer.sets <= static_cast<double>(options.most_sets_in_turn);
    for (int round = 0; learnt.best && all && !task.stopped() && round < options.most_rounds;
         ++round) {
        const auto guess = best_of_all(task, offer, learnt);
        if (!guess || !go_on_from(task, *guess, learnt)) break;
    }
    auto result = result_of(task, offer, std::move(learnt));
    if (result) result->all_looked_at = all && !result->stopped && !problem.has_timed();
    return result;
}

}  // namespace gapwright
