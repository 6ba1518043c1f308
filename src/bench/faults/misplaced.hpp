// Faults that a board makes likely: a pin or a wire's end in a neighbouring hole.
#pragma once

#include <vector>
#include "bench/faults/fault.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "link/link.hpp"

namespace gapwright {

// One fault for each different thing that a pin or wire's end, put one hole too far to the left,
// right, up or down, would do to the link: what is then joined, open, or bridged to the other side.
// A coupler's pins only go together. A hole takes one thing, but that a grid board's wires may end
// at any pin; a drilled hole of a strip joins nothing. What changes nothing is left out; what joins
// the same pins is one fault, named after the first, its weight the sum. Suspects name the
// neighbour and the hole that it should be: "R1's lead stands in d8, not in d7"; "the wire from d7
// to L-7 ends in d8, not in d7"; "U1 stands with 1 anode in e12, not in e11".
//
// Parts come in the order of the wiring, then wires. `parts` of a fault are those of the pins that
// are put wrong; of a wire's end none. Requires the wiring of this link and a plan of it that
// read_back found nothing wrong with.
std::vector<Fault> misplaced_faults(const Link& link, const Wiring& wiring, const Plan& plan);

}  // namespace gapwright
