// What a person should hear before relying on a link, and what its nominal point gives away.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"

namespace gapwright {

struct Caution {
    std::string id;    // stable: "extra-low-voltage", "home-made-gap" …
    std::string text;  // for people
    // Which of the link's parts it is about, of several the first; none: the link as a whole.
    std::optional<std::size_t> part = {};
};

// Those that a link's own words give, whatever its values: of one that cannot be solved yet.
std::vector<Caution> stated_cautions(const Link& link);

// Cautions of a link; `nominal` holds the solved nominal point of each state.
std::vector<Caution> cautions_of(const Link& link, const LinkCircuit& circuit,
                                 const std::vector<StatePoint>& nominal);

// That changes of state were only followed with strays at every node.
Caution strays_assumed();

}  // namespace gapwright
