// What a proof looks for at rest: of every promise and every rating the lowest and the highest
// value, and what pictures show a band of. Internal to the layer.
#pragma once

#include <cstddef>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/search/worst_case.hpp"
#include "proof/verdict.hpp"

namespace gapwright {

// One measure and the two targets that look for its ends.
struct BothEnds {
    std::size_t measure = 0;
    std::size_t lowest = 0;
    std::size_t highest = 0;

    // The target of a bound that holds this way.
    std::size_t of(Sense sense) const { return sense == Sense::at_least ? lowest : highest; }
};

struct PromiseTargets {
    const Promise* promise = nullptr;
    BothEnds ends;
};

struct RatingTargets {
    Rating rating;
    BothEnds ends;

    std::size_t deciding() const { return ends.of(rating.sense); }
};

// Measures of what pictures show of a state, in the order of NominalState; no target looks at them.
struct ShownMeasures {
    std::vector<std::size_t> currents;
    std::vector<std::size_t> voltages;
};

struct RestTargets {
    std::vector<Measure> measures;  // each once
    std::vector<double> nominal;    // by measure: the nominal link's value
    std::vector<Target> targets;
    std::vector<PromiseTargets> promises;  // those at rest, in the link's order
    std::vector<RatingTargets> ratings;
    std::vector<ShownMeasures> shown;  // by state
};

// `nominal`: every state of the nominal link. Refers to the link.
RestTargets rest_targets(const Link& link, const LinkCircuit& circuit,
                         const std::vector<StatePoint>& nominal);

}  // namespace gapwright
