// Stretches as a proof tells them. Internal to the layer.
#pragma once

#include <optional>

#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/stretch.hpp"
#include "proof/verdict.hpp"

namespace gapwright {

// What was found, with its figure's name.
Stretch stretch_of(const LinkCircuit& circuit, const SearchSpace& space, const Stretched& found);

// The verdict of a bound that has one, when so much stretch is asked: kept with less is thin.
Verdict with_stretch(Verdict verdict, const std::optional<Stretch>& stretch, double asked);

// The least of all promises and ratings; none where none has any.
std::optional<LinkStretch> link_stretch(const Proof& proof);

}  // namespace gapwright
