// Where everything of one side stands: rows of nodes, columns of strands. Plain geometry, nothing
// drawn. Internal to the layer.
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "draw/schematic.hpp"
#include "draw/symbols.hpp"

namespace gapwright::schematic {

// A strand's column. Strands that stand one below the other have one x, and text_x and control_x.
struct Column {
    std::size_t strand = 0;  // index in SchematicSide::strands
    double x = 0;            // of its wire
    double control_x = 0;    // of the upright leads of its bases and gates
    double text_x = 0;       // where notes begin, or end
    bool text_left = false;  // they stand left of the symbols: light leaves to the right
    std::vector<double> y;   // centre of each part, in the strand's order
    bool turned = false;     // current flows upwards
};

struct SideLayout {
    std::map<std::string, double> row;  // y of each node
    std::vector<Column> columns;        // from left to right
    double left = 0;
    double right = 0;
    double top = 0;     // the supply's rail
    double bottom = 0;  // the lowest sign of the return
    int crossings = 0;  // of ties over columns that they do not belong to
};

// How far beside a logic output's wire the sign of its return stands, on the side without words.
inline constexpr double output_return_at = 26;

// The height that a part takes with its notes.
double slot_height(const SchematicSide& side);

// Where the sign of the return stands that a column ends in; requires one that does.
double sign_height(const SchematicSide& side, const SideLayout& layout, const Column& column);

// How far a part reaches left and right of its column's wire; light has no arrows of its own at a
// gap, where a beam is drawn.
SymbolWidth part_width(const SchematicPart& part);

// Lays out one side with its left edge at x = 0 and its supply at y = 0. The column of the gap's
// part is kept at the side of the gap where that costs no crossing.
SideLayout lay_out(const SchematicSide& side, bool gap_on_right);

// Moves rows and parts of both sides down until the halves of each gap stand level, and the gaps
// one below the other with room for what is written at their light. Gaps whose order differs
// between the sides stay as they are.
void level_gaps(const SchematicSide& input, SideLayout& input_layout, const SchematicSide& output,
                SideLayout& output_layout);

}  // namespace gapwright::schematic
