// Which strands stand one below the other in one column, and in which order columns stand. Internal
// to the layer.
#pragma once

#include <compare>
#include <cstddef>
#include <vector>

#include "draw/schematic.hpp"
#include "draw/schematic_rows.hpp"

namespace gapwright::schematic {

// Strands in one column, from top to bottom: each begins at the row in which the one above it ends.
using Stack = std::vector<std::size_t>;

// Ties over columns that do not belong to their node, for an order of the columns; and besides, how
// long the ties are and, doubled, how far gap parts stand from the gap, in columns.
struct Cost {
    int crossings = 0;
    int length = 0;
    auto operator<=>(const Cost&) const = default;
};

// Rows, and the cheapest order of columns for them.
struct Arrangement {
    Rows rows;
    std::vector<Span> spans = {};
    Heights heights = {};
    std::vector<std::vector<double>> part_y = {};  // by strand
    std::vector<Stack> order = {};                 // as columns
    Cost cost = {};
};

// The columns as close as they go without a crossing that they would not have apart.
Arrangement best_arrangement(const SchematicSide& side, bool gap_on_right);

}  // namespace gapwright::schematic
