#include "proof/cautions/cautions.hpp"
#include <utility>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/cautions/caution_notes.hpp"

namespace gapwright {
namespace {

using namespace cautioning;

// In the order in which they are told; each by the link's words or by its nominal point.
struct Look {
    void (*stated)(StatedNotes&) = nullptr;
    void (*solved)(Notes&) = nullptr;
};
constexpr Look looks[] = {
    {.stated = isolation},
    {.solved = emitters},
    {.solved = transfer_ratios},
    {.stated = doubts},
    {.stated = no_spread},
    {.stated = no_tolerance},
    {.stated = no_supply_spread},
    {.solved = part_way},
    {.stated = undriven},
    {.stated = gates},
    {.solved = wrong_way_round},
    {.stated = flyback},
    {.solved = kick},
    {.stated = stores_nothing},
    {.stated = ageing},
    {.stated = sunlight},
    {.stated = settings},
};

}  // namespace

std::vector<Caution> stated_cautions(const Link& link) {
    StatedNotes notes{.link = link};
    for (const Look& look : looks) {
        if (look.stated) look.stated(notes);
    }
    return std::move(notes.cautions);
}

std::vector<Caution> cautions_of(const Link& link, const LinkCircuit& circuit,
                                 const std::vector<StatePoint>& nominal) {
    Notes notes{{.link = link}, circuit, nominal};
    for (const Look& look : looks) {
        if (look.stated) look.stated(notes);
        if (look.solved) look.solved(notes);
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
