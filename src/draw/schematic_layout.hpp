// Where everything of one side stands: rows of nodes, columns of strands. Plain geometry, nothing
// drawn. Internal to the layer.
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "draw/schematic.hpp"

namespace gapwright::layout {

// A strand's column.
struct Column {
    std::size_t strand = 0;  // index in SchematicSide::strands
    double x = 0;            // of its wire
    double text_x = 0;       // where notes begin
    std::vector<double> y;   // centre of each part, in the strand's order
    bool turned = false;     // current flows upwards
};

struct SideLayout {
    std::map<std::string, double> row;  // y of each node
    std::vector<Column> columns;        // from left to right
    double left = 0;
    double right = 0;
    double top = 0;     // the supply's rail
    double bottom = 0;  // the return's rail
    int crossings = 0;  // of ties over columns that they do not belong to
};

// Lays out one side with its left edge at x = 0 and its supply at y = 0. The column of the gap's
// part is kept at the side of the gap where that costs no crossing.
SideLayout lay_out(const SchematicSide& side, bool gap_on_right);

}  // namespace gapwright::layout
