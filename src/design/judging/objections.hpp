// What of good practice a set of values misses, in words.
#pragma once

#include <vector>

#include "design/design.hpp"
#include "design/values/value_problem.hpp"
#include "population/engine.hpp"

namespace gapwright {

// The worst of each check over the nominal specimen and the set's worst cases; those missed by so
// little that nobody would notice are left out.
std::vector<Objection> objections_to(const ValueProblem& problem, const ValueSet& set,
                                     const WorstScore& worst, const EngineOptions& options);

// Of two sets, the check that the first misses by most more than the second: "base drive of Q1";
// empty where there is none.
std::string practice_difference(const ValueProblem& problem, const ValueSet& worse,
                                const ValueSet& better, const EngineOptions& options);

}  // namespace gapwright
