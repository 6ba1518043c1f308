// The schematic of a link: input side on the left, the gap as an upright hatched strip, output side
// on the right. Laid out from the link's paths: each run of parts is a column between its nodes,
// nodes are horizontal ties, supply on top and return at the bottom.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "draw/picture.hpp"
#include "draw/symbols.hpp"

namespace gapwright {

// A part as it stands in a path.
struct SchematicPart {
    std::string name;
    Symbol symbol = Symbol::resistor;
    bool closed = false;                      // a contact in the state shown
    std::vector<std::string> notes;           // value, then what flows: set in small type beside it
    std::optional<std::string> control_node;  // node of base or gate
    bool at_gap = false;                      // a gap's emitter or receiver
    bool to_choose = false;                   // its value is: its outline is broken
};

// Parts in series from one node to another, in the direction of conventional current.
struct SchematicStrand {
    std::string from;
    std::string to;
    std::vector<SchematicPart> parts;
};

struct SchematicNode {
    std::string name;
    std::string note = {};  // its voltage: beside the name, above the node's tie
    std::string band = {};  // how far that reaches: below the tie
};

struct SchematicSide {
    std::string supply_note;  // "5 V ± 5 %"; empty where nothing uses the supply
    std::vector<SchematicStrand> strands;
    std::vector<SchematicNode> nodes;  // named nodes besides supply and return
};

struct SchematicInput {
    std::string title;
    std::string description;
    SchematicSide input;
    SchematicSide output;
    std::string gap_measure = {};  // "30 mm": how far the sides of an open pair stand apart
};

Picture draw_schematic(const SchematicInput& input);

}  // namespace gapwright
