// A case put on: what flows in a specimen with the figures of a case, all others nominal.
#pragma once

#include <expected>
#include <string>
#include <vector>

#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/cases/case.hpp"
#include "proof/proof.hpp"

namespace gapwright {

// In each state, no bands. Figures of the case that the circuit does not know are left out. Errors,
// a sentence: that specimen has no operating point.
std::expected<std::vector<NominalState>, std::string> states_in_case(const Link& link,
                                                                     const LinkCircuit& circuit,
                                                                     const Case& figures);

}  // namespace gapwright
