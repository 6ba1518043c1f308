// The schematic of a link: input side on the left, the gap as an upright hatched strip that only
// light crosses, output side on the right. Laid out from the link's paths: each run of parts is a
// column between its nodes, nodes are horizontal ties, supply on top; what goes to the return ends
// in the sign of its side. Emitter and receiver of a gap stand level where the columns allow it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "draw/picture.hpp"
#include "draw/symbols.hpp"

namespace gapwright {

// How brightly an emitter shines in the state shown.
enum class Shine : unsigned char { dark, weak, medium, strong };

// A part as it stands in a path.
struct SchematicPart {
    std::string name;
    Symbol symbol = Symbol::resistor;
    bool closed = false;                      // a contact in the state shown
    std::vector<std::string> notes;           // value, then what flows: set in small type beside it
    std::string range = {};                   // of what flows: not drawn, for whoever points at it
    bool live = false;                        // carries a current that a meter shows
    bool active = false;                      // a load that is on: lit, pulled in, reads high
    Shine shine = Shine::dark;                // of an emitter
    std::string press = {};                   // the state that pressing it leads to; empty for none
    std::optional<std::string> control_node;  // node of base or gate
    bool at_gap = false;                      // a gap's emitter or receiver
    std::string body = {};                    // of a packaged gap: what it is; both halves in one
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
    bool wordless = false;             // no room is kept for words
};

// Where a lead of a meter is held: at a node, or, where that has no name, after a part.
struct LeadSpot {
    bool on_output = false;
    std::string node = {};
    std::string after = {};  // a part's name; empty: at the node
    bool all_nodes = false;  // of the side, clipped together; the lead is shown at one of them
};

// A meter in the drawing. Of a current it stands in the lead above a part, or at the supply where
// no part is named.
struct SchematicMeter {
    std::optional<LeadSpot> red = {};
    std::optional<LeadSpot> black = {};
    bool in_lead = false;
    bool on_output = false;  // of a current: its side
    std::string part = {};   // of a current
};

struct SchematicInput {
    std::string title;
    std::string description;
    SchematicSide input;
    SchematicSide output;
    std::string gap_measure = {};  // "30 mm": how far the sides of an open pair stand apart
    std::optional<SchematicMeter> meter = {};
    bool words = true;  // else shapes alone, for a drawing too small to read
};

// The same as shapes alone, close together.
SchematicInput without_words(SchematicInput input);

Picture draw_schematic(const SchematicInput& input);

}  // namespace gapwright
