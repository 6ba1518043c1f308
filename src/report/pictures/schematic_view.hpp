// A link and its proof as the input of the schematic, one state at a time.
#pragma once

#include <cstddef>

#include "draw/schematic.hpp"
#include "proof/cases/case.hpp"

namespace gapwright {

struct Link;
struct Proof;

// Where the bands over all specimens stand: written under each figure, or aside, for whoever points
// at it.
enum class Ranges : unsigned char { written, aside };

// `state` indexes proof.states. Parts carry their value and the state's current, nodes the state's
// voltage, each nominal; what a meter does not show reads so.
SchematicInput schematic_view(const Link& link, const Proof& proof, std::size_t state,
                              Ranges ranges = Ranges::written);

// The same of a link that has no proof, since it has values still to be chosen: no currents and no
// voltages. `state` indexes link.states.
SchematicInput schematic_view(const Link& link, std::size_t state);

// Notes beside each part how far it is from its nominal figures in a case: "gain −40 %".
void mark_case(SchematicInput& drawn, const Link& link, const Case& figures);

}  // namespace gapwright
