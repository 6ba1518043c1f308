// The steps of a build sheet at which one stops and looks. Internal to the layer.
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>
#include "board/board.hpp"
#include "build/steps.hpp"
#include "circuit/index.hpp"

namespace gapwright::steps {

// One side as built so far, power off: what must be joined, what must not.
BuildStep side_check(const StepSources& sources, Side side);

// No way from any node of one side to any of the other; `when` ends the title.
BuildStep isolation_check(const StepSources& sources, std::string_view when);

// What each supply gives alone, before the gap's parts are in.
std::vector<BuildStep> first_power_checks(const StepSources& sources);

// Which way round the gap's emitters are, on a meter.
BuildStep gap_check(const StepSources& sources);

// Both supplies on: what the promises come to, and between which holes.
BuildStep first_use(const StepSources& sources);

// The holes of a node's pins, each with what stands there; leads too where `with_leads`.
std::vector<Hole> holes_of(const StepSources& sources, std::size_t node, bool with_leads);

// What a supply gives at most in any state, A, the gap's parts in or not; 0 where it is not known.
double most_current(const StepSources& sources, Side side);

}  // namespace gapwright::steps
