// The cautions one by one, in files by what they look at: the gaps, what the circuit does, what is
// not stated. Internal to the layer.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/cautions/cautions.hpp"

namespace gapwright::cautioning {

// What the link's own words are looked at with.
struct StatedNotes {
    const Link& link;
    std::vector<Caution> cautions = {};

    void add(std::string id, std::string text, std::optional<std::size_t> part = {}) {
        cautions.push_back({std::move(id), std::move(text), part});
    }

    template <class Use>
    void each_part(const Use& use) const {
        for (std::size_t k = 0; k < link.parts.size(); ++k) use(k, link.parts[k]);
    }
};

// And what its nominal point is looked at with.
struct Notes : StatedNotes {
    const LinkCircuit& circuit;
    const std::vector<StatePoint>& nominal;  // by state
};

// cautions_gap.cpp
void isolation(StatedNotes& notes);
void emitters(Notes& notes);
void transfer_ratios(Notes& notes);
void ageing(StatedNotes& notes);
void sunlight(StatedNotes& notes);

// cautions_circuit.cpp
void part_way(Notes& notes);  // a receiver or transistor that is neither through nor shut
void undriven(StatedNotes& notes);
void gates(StatedNotes& notes);
void wrong_way_round(Notes& notes);  // a receiver or transistor that is only ever driven backwards
void flyback(StatedNotes& notes);    // a winding that is switched needs a way for its current
void kick(Notes& notes);             // the voltage of one that has none

// cautions_stated.cpp
void no_spread(StatedNotes& notes);
void no_tolerance(StatedNotes& notes);
void stores_nothing(StatedNotes& notes);
void settings(StatedNotes& notes);
void doubts(StatedNotes& notes);

// cautions_supply.cpp
void no_supply_spread(StatedNotes& notes);

}  // namespace gapwright::cautioning
