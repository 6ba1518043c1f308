// Whether a bound that breaks in the worst case breaks because of what is only assumed of the
// parts: figures that nobody states lie anywhere in the range of their kind. Internal to the layer.
#pragma once

#include <string>
#include <vector>

#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/worst_case.hpp"

namespace gapwright {

// A bound whose worst case, as it was found, lies beyond its limit.
struct BrokenBound {
    Target target;
    double limit = 0;  // the target's badness may be this at most
    Point worst;
    std::vector<double> effects;  // by coordinate, as Extreme has them
};

// The sentence that says which figures would settle it, where it holds in the worst
// case of all that is stated for some values of what is assumed: "state U1 receiver dark
// resistance: it holds with 100 MΩ, not with 200 kΩ, and parts of the kind have either". Empty
// where no such values were found: the usual ones, those that are best for it alone at its worst
// case, and those that are best where it is worst with the usual ones.
std::string settling_figures(const LinkCircuit& circuit, const ConditionRanges& ranges,
                             const Measurer& measurer, const BrokenBound& bound, Effort effort,
                             const EngineOptions& options);

}  // namespace gapwright
