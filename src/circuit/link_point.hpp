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

// Solves every state for one specimen. Emitters fade over `conditions.age` by the time that they
// spend in each state (`circuit.shares`), or, where that is not known, at the largest current that
// they carry in any. `start`, the points of a neighbouring specimen, saves steps.
std::expected<std::vector<StatePoint>, LinkNotSettled> solve_link(
    const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
    const std::vector<StatePoint>* start = nullptr);

// By gap: the current of its emitter in a solved state, A.
std::vector<double> emitter_currents(const Circuit& circuit, const StatePoint& point);

// By gap: the share of its emitter's light that is left at `conditions.age`; 1 where no life is
// stated. `points`: every state, of which the input sides count.
std::vector<double> light_left_by_gap(const Circuit& circuit, std::span<const double> values,
                                      const Conditions& conditions,
                                      const std::vector<StatePoint>& points);

// What each receiver gets at given emitter currents, one a gap, A; `left` from above.
GapLight gap_light(const Circuit& circuit, std::span<const double> values,
                   const Conditions& conditions, std::span<const double> currents,
                   std::span<const double> left);

}  // namespace gapwright
