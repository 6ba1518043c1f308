// A link whose pins are joined otherwise than it says, as a board would have it.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>
#include "bench/meter/bench_circuit.hpp"
#include "board/wiring.hpp"
#include "link/link.hpp"

namespace gapwright {

// The part of the link that a part of its wiring is, or half of which it is, by name; none for a
// supply.
std::optional<std::size_t> part_of(const Link& link, const std::string& name);

// A number by part and pin of the wiring; pins are joined where theirs are equal (joined_pins).
using PinGroups = std::vector<std::vector<std::size_t>>;

// The groups as one list, numbered as they first come, of the pins that belong to a node, in the
// wiring's order: equal for two that join the same pins.
std::vector<std::size_t> in_order(const Wiring& wiring, const PinGroups& groups);

struct Rejoined {
    std::function<void(Link&)> edit = {};
    std::optional<SideBridge> bridge = {};
};

// What makes the link one whose pins are joined as the groups say; both none where that is as its
// nodes are. Pins on no node do nothing by themselves. A node that falls apart stays where its
// supply's lead is, else its largest piece, else the first in the wiring's order: there it is
// measured. Its other pieces get a node of their own, or that which they now touch. At most one
// conductor that joins the sides is told, the first; the edit may come after others, but where it
// makes the node that the bridge is at, these must not have made nodes of that side. `wiring` is
// the link's own.
Rejoined rejoined(const Link& link, const Wiring& wiring, const PinGroups& groups);

}  // namespace gapwright
