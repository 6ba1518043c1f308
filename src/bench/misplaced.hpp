// Faults that a board makes likely: a pin or a wire's end in a neighbouring hole.
#pragma once

#include "bench/fault.hpp"
#include "board/plan.hpp"

namespace gapwright {

// One fault for each different thing that a pin or wire's end, put one hole too far to the left,
// right, up or down, would do to the link: what is then joined, open, or bridged to the other side.
// Those that change nothing are left out; those that do the same are one fault, named after the
// first. Suspects name the hole that it should be and the neighbour: "R1's lead stands in d8, not
// in d7". Requires a plan that read_back found nothing wrong with.
std::vector<Fault> misplaced_faults(const Link& link, const Wiring& wiring, const Plan& plan);

}  // namespace gapwright
