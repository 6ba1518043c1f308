// How much reserve any set of values on offer can have at most: a proof by branch and bound that
// the set which the search found is best, or how much better another might be.
//
// A box of sets (a run of choices for each resistor) is excluded where in one scenario one bound
// has no more reserve than the set found, for every choice inside: Enclosure proves it. Other boxes
// are halved; small ones are looked at set by set.
#pragma once

#include <chrono>
#include <cstddef>
#include <optional>

#include "design/value_problem.hpp"
#include "design/value_search.hpp"
#include "population/engine.hpp"

namespace gapwright {

struct BoundOptions {
    std::chrono::steady_clock::duration time = std::chrono::seconds(2);  // then it ends
    std::size_t most_parts = 3;  // for one resistor, as SearchOptions has it
    double few_sets = 500;       // a box of no more is looked at set by set
    EngineOptions engine = {};   // threads and stop
};

// A set that is better than the one found.
struct BetterSet {
    ValueSet set{};
    WorstScore worst;
};

struct ValueBound {
    // No set on offer has a greater least reserve, whatever search_values aimed at. Proven for the
    // operating points near those that the solver finds (circuit/enclosure.hpp) and but for
    // rounding; of sets that were looked at one by one, as exact as the solver, and to
    // `equal_reserves`.
    double most_possible = 0;
    // Every set is excluded or was looked at: none has more reserve than the set found, or `better`
    // where there is one, but for `equal_reserves`.
    bool optimal = false;
    std::size_t boxes = 0;  // that were looked into
    std::size_t sets = 0;   // that were looked at one by one
    std::optional<BetterSet> better = {};
};

// Nothing where time ran out, or the user stopped it, before every set had a limit. Results depend
// neither on the number of threads nor on speed unless time runs out.
std::optional<ValueBound> bound_values(const ValueProblem& problem, const SearchResult& found,
                                       const BoundOptions& options);

// Tries for `seconds` to prove that no other set has more reserve than `found`, or how much more
// one might have; a better one met on the way takes its place.
void prove_best(const ValueProblem& problem, std::size_t most_parts, double seconds,
                const EngineOptions& engine, SearchResult& found);

}  // namespace gapwright
