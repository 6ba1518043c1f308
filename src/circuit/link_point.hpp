// A whole link solved for one specimen: the input side of each state, the light across the gaps,
// the output side of each state.
#pragma once

#include <expected>
#include <span>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"

namespace gapwright {

struct StatePoint {
    SidePoint input;
    SidePoint output;
    GapLight light;  // what each receiver gets

    const SidePoint& side(Side which) const { return which == Side::input ? input : output; }
};

struct LinkNotSettled {
    StateIndex state;
    NotSettled where;
};

// Solves every state for one specimen. Emitters fade with `conditions.time_on` at the largest
// current that they carry in any state. `start`, the points of a neighbouring specimen, saves
// steps.
std::expected<std::vector<StatePoint>, LinkNotSettled> solve_link(
    const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
    const std::vector<StatePoint>* start = nullptr);

// The light of each gap at given emitter currents (one a gap, A); `ageing_currents` are those at
// which the emitters have faded.
GapLight gap_light(const Circuit& circuit, std::span<const double> values,
                   const Conditions& conditions, std::span<const double> emitter_currents,
                   std::span<const double> ageing_currents);

}  // namespace gapwright
