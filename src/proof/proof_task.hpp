// What a proof is about and how much is asked of it; the same from its first step to its last.
// Internal to the layer.
#pragma once

#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/prove.hpp"

namespace gapwright {

struct ProofTask {
    const Link& link;
    const LinkCircuit& circuit;
    ConditionRanges ranges;
    ProofOptions options = {};
};

}  // namespace gapwright
