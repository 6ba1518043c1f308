// How a chosen value was found: what it would ideally be and why, what is on offer about it, and
// between which values everything holds.
#pragma once

#include <cstddef>
#include <string>
#include "design/design.hpp"
#include "design/values/value_problem.hpp"
#include "design/values/value_search.hpp"
#include "population/engine.hpp"

namespace gapwright {

// Of resistor `which` of a solved problem; the others stay as chosen. The ideal, the window and the
// candidates around it only where `in_full`. `aim` is what the search looked for.
ChosenValue explain_value(const ValueProblem& problem, const SearchResult& found, std::size_t which,
                          const EngineOptions& options, Aim aim, bool in_full);

// "K1 voltage, on", "voltage signal ≤ 400 mV, on": a bound as answers name it.
std::string bound_name(const ValueProblem& problem, std::size_t bound);

}  // namespace gapwright
