// The best set of values for the resistors that are to be chosen.
//
// A set's reserve is its worst case's. Scenarios that were worst for some set limit the reserve of
// every set; the search looks for the set that is best in all scenarios so far, works out its worst
// case, which gives new scenarios, and ends where they change nothing: then no set that was looked
// at is better. It looks among single parts first, then among up to two, then three, each time from
// the best of before: on a plateau fewer parts are better, and a finer stock has many more ways to
// get stuck. Where there are few sets, all are looked at in the end.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "design/values/value_problem.hpp"
#include "population/engine.hpp"
#include "proof/search/worst_case.hpp"

namespace gapwright {

struct SearchOptions {
    Aim aim = Aim::first_choice;
    std::size_t most_parts = 3;      // for one resistor
    std::size_t coarse_sets = 6000;  // of the grid that the search starts from
    std::size_t starts = 6;  // the best of the grid, from which the search goes on; 0: `from` alone
    int most_rounds = 40;    // of worst cases, for each number of parts
    std::size_t most_alone = 1500;  // sets that lanes leave open, solved alone, which takes long
    // So many sets are looked at one by one; more call for the search.
    std::uint64_t most_sets_in_turn = 400'000;
    // Sets to begin from besides those of the grid; those that are not on offer count for nothing.
    std::vector<ValueSet> from = {};
    // Quick: one start, coarse steps, quick looks for the worst case, few rounds. Its result is
    // near what a thorough search finds, and a little too good.
    Effort effort = Effort::thorough;
    EngineOptions engine = {};
    std::function<void(const Score& best)> found = {};  // a better set, as the search goes on
};

struct SearchResult {
    ValueSet set{};
    WorstScore worst;
    bool all_looked_at = false;       // every set on offer: none is better
    double sets_on_offer = 0;         // combinations, stock counts aside
    std::vector<Scenario> scenarios;  // what the search came to rest on
    bool stopped = false;             // by the user: the best so far
};

// Nothing where no set has an operating point. `scenarios`: known ones to begin with.
std::optional<SearchResult> search_values(const ValueProblem& problem, const SearchOptions& options,
                                          std::vector<Scenario> scenarios = {});

}  // namespace gapwright
