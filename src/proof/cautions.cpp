#include "proof/cautions.hpp"
#include <utility>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/caution_notes.hpp"

namespace gapwright {

std::vector<Caution> cautions_of(const Link& link, const LinkCircuit& circuit,
                                 const std::vector<StatePoint>& nominal) {
    using namespace cautioning;
    Notes notes{.link = link, .circuit = circuit, .nominal = nominal};
    for (const auto look :
         {isolation, emitters, transfer_ratios, no_spread, no_tolerance, part_way, undriven, gates,
          wrong_way_round, flyback, stores_nothing, unrated, ageing, sunlight, settings}) {
        look(notes);
    }
    return std::move(notes.cautions);
}

Caution strays_assumed() {
    return {.id = "strays-assumed",
            .text =
                "In time the link could only be followed with a picofarad at every node and what "
                "windings have of their own: some of its parts state no charge and hand over to "
                "each other at once. State what they store, and promises in time rest on it."};
}

}  // namespace gapwright
