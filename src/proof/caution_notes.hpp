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
#include "proof/cautions.hpp"

namespace gapwright::cautioning {

struct Notes {
    const Link& link;
    const LinkCircuit& circuit;
    const std::vector<StatePoint>& nominal;  // by state
    std::vector<Caution> cautions = {};

    void add(std::string id, std::string text, std::optional<std::size_t> part = {}) {
        cautions.push_back({std::move(id), std::move(text), part});
    }

    template <class Use>
    void each_part(const Use& use) const {
        for (std::size_t k = 0; k < link.parts.size(); ++k) use(k, link.parts[k]);
    }
};

// cautions_gap.cpp
void isolation(Notes& notes);
void emitters(Notes& notes);
void transfer_ratios(Notes& notes);
void ageing(Notes& notes);
void sunlight(Notes& notes);

// cautions_circuit.cpp
void part_way(Notes& notes);  // a receiver or transistor that is neither through nor shut
void undriven(Notes& notes);
void gates(Notes& notes);
void wrong_way_round(Notes& notes);  // a receiver or transistor that is only ever driven backwards
void flyback(Notes& notes);          // a winding that is switched needs a way for its current

// cautions_stated.cpp
void no_spread(Notes& notes);
void no_tolerance(Notes& notes);
void stores_nothing(Notes& notes);
void unrated(Notes& notes);
void settings(Notes& notes);

}  // namespace gapwright::cautioning
