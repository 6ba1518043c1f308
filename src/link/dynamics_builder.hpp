// What a part stores and how it passes from one state to another. Internal to the layer.
#pragma once

#include <optional>
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "link/network_builder.hpp"

namespace gapwright::building {

// Adds what one placement of a part does in time. `slots` are those of what stands there: of a
// pair, of its emitter or receiver. `probes` name its elements in the circuit's networks. `gap` is
// that of a coupler or pair.
void add_part_dynamics(const Slots& slots, const Placement& placement, const PlacedProbes& probes,
                       std::optional<GapIndex> gap, Circuit& circuit);

}  // namespace gapwright::building
