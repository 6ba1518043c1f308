// What a promise measures.
#pragma once

#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "units/dimension.hpp"

namespace gapwright {

Dimension promise_dimension(const Promise& promise);

// Where a promise is measured, in its state (the later one of a change).
Probe promise_probe(const Promise& promise, const LinkCircuit& circuit);

}  // namespace gapwright
