// What a link does when its input side is dead: its supply gone, its wire cut or its emitter
// failed. All three leave the receiver dark.
#pragma once

#include <string>
#include <vector>

#include "link/link.hpp"
#include "link/link_circuit.hpp"

namespace gapwright {

// The names of the states whose promises about the output side all hold then, nominal, whatever the
// drive's setting; empty where none does, or where no promise speaks of the output side at rest.
std::vector<std::string> states_when_dead(const Link& link, const LinkCircuit& circuit);

}  // namespace gapwright
