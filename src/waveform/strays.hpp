// What every real circuit stores and no card states; assumed only where the equations have no
// answer without it. Internal to the layer.
//
// A circuit's switches open at once, and a winding's current goes on: where nothing else takes it,
// it charges the winding's own capacitance, to a voltage at which something breaks down or arcs,
// and that voltage is judged as any other. And where parts that store nothing hand over to each
// other at once, the equations can lose their solution on the way (two transistors that hold each
// other, a fold); with what every pin and wire has against the return they cannot.
#pragma once

#include <span>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "waveform/schedule.hpp"

namespace gapwright::waveforms {

// Of every node to its side's return, F: a pin and a few centimetres of wire (common practice).
inline constexpr double node_capacitance = 1e-12;

// The branches of one side's windings.
std::vector<ElementIndex> windings_of(const Circuit& circuit, Side side);

// The uncaught ones that a schedule interrupts: whose current is less after some change than before
// it, or that a bouncing contact may open again.
std::vector<ElementIndex> interrupted_windings(const Circuit& circuit, Side side,
                                               std::span<const double> values,
                                               const Schedule& schedule,
                                               const std::vector<StatePoint>& rest);

}  // namespace gapwright::waveforms
