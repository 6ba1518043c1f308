// Reads a plan back: which pins its holes, strips and wires join, and whether that is what was to
// be joined.
//
// Written apart from the search and from the board's own geometry: it takes the names in the plan's
// table and knows boards by what is printed on them, so that a mistake in either shows.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "board/plan_table.hpp"
#include "board/wiring.hpp"

namespace gapwright {

struct BoardFault {
    enum class Kind : std::uint8_t {
        no_such_hole,  // a name that the board does not have
        no_such_pin,   // a part or pin that the link does not have
        pin_missing,   // a pin without a hole, or with two
        hole_used_twice,
        joined_wrongly,  // two pins of different nodes of one side
        not_joined,      // two pins of one node
        bridged,         // the two sides
        in_the_gap,      // a conductor where none may be
    };
    Kind kind;
    std::string text;                     // the whole fault for a person, holes included
    std::vector<std::string> holes = {};  // where, two of them for what lies between two
};

// All faults found, the most dangerous first; none for a plan that is right.
std::vector<BoardFault> read_back(const PlanTable& table, const Wiring& wiring);

}  // namespace gapwright
