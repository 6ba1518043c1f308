// Light and lit resistances by their mean value: first order kept apart by its cause. Internal to
// the layer.
#pragma once

#include "circuit/affine.hpp"
#include "circuit/network.hpp"
#include "circuit/ranged.hpp"

namespace gapwright {

// A lit resistance, Ω, with its illuminance in terms of the ranged figures.
Affine lit_resistance(const LightResistorElement& element, const Ranged& ranged,
                      const Affine& illuminance);

// What a gap's receiver gets, with the emitter's current now and where it was largest in terms of
// the ranged figures. `hardest`: this is the state in which it is largest.
Affine gap_light(const Gap& gap, const Ranged& ranged, const Conditions& conditions,
                 const Affine& emitter_current, const Affine& ageing_current, bool hardest);

}  // namespace gapwright
