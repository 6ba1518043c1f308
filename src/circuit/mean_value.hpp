// Light and lit resistances by their mean value: first order kept apart by its cause. Internal to
// the layer.
#pragma once

#include <cstddef>
#include <span>

#include "circuit/affine.hpp"
#include "circuit/network.hpp"
#include "circuit/ranged.hpp"

namespace gapwright {

// A lit resistance, Ω, with its illuminance in terms of the ranged figures.
Affine lit_resistance(const LightResistorElement& element, const Ranged& ranged,
                      const Affine& illuminance);

// What a gap's receiver gets in a state, with its emitter's current in every state, which fade it
// by the time spent there (`shares`, as Circuit has them), in terms of the ranged figures.
Affine gap_light(const Gap& gap, const Ranged& ranged, const Conditions& conditions,
                 std::span<const Affine> emitter_currents, std::size_t state,
                 std::span<const double> shares);

}  // namespace gapwright
