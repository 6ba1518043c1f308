// What of a link stands on a board, with which body, and which of its pins belong to which node.
//
// Contacts, coils, loads, logic outputs and inputs, supplies and the halves of a pair stand
// elsewhere: their leads end on the board.
#pragma once

#include "board/wiring.hpp"
#include "card/description.hpp"
#include "link/link.hpp"

namespace gapwright {

Wiring wiring_of(const Link& link);

// The body of a part on the board. Lengths are common practice for bodies of that rating, no
// standard's: resistors by power, diodes by forward current, transistors by power.
Footprint footprint_of(const Description& description);

}  // namespace gapwright
