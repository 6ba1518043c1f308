// Where the nodes of one side lie, one below the other, and the parts between them. Internal to the
// layer.
#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "draw/schematic.hpp"

namespace gapwright::schematic {

using Rows = std::vector<std::string>;             // nodes, from the supply to the return
using Down = std::pair<std::string, std::string>;  // the ends of a strand that leads downwards

// A strand between two rows, top row first.
struct Span {
    std::size_t top;
    std::size_t bottom;
    bool turned;
};

// How high rows lie, and what stands in each band between one and the next.
struct Heights {
    double slot = 0;    // of one part with its notes
    double margin = 0;  // above and below a node's tie: its label stands there
    std::vector<double> row_y = {};
    std::vector<std::size_t> capacity = {};            // by band
    std::vector<std::vector<std::size_t>> share = {};  // by strand and band: parts there
};

std::size_t row_of(const Rows& rows, const std::string& node);

// In the order in which strands speak of them, without the rails.
std::vector<std::string> inner_nodes(const SchematicSide& side);

// Strands that lead down from one inner node to another. One that would close a circle (the second
// of an antiparallel pair) does not count: the one that the file states first is drawn downwards.
std::vector<Down> downs_of(const SchematicSide& side, const std::vector<std::string>& nodes);

// Each node below those that current comes from, by the longest way down from the supply.
Rows rows_by_depth(std::vector<std::string> nodes, const std::vector<Down>& downs);

// Whether all of these lead downwards.
bool flows_down(const Rows& rows, const std::vector<Down>& downs);

std::vector<Span> spans_of(const SchematicSide& side, const Rows& rows);

// How many parts of each strand stand between one row and the next, and how high that makes the
// rows' distances.
Heights heights_of(const SchematicSide& side, const std::vector<Span>& spans, std::size_t bands);

// Of a strand's parts: evenly in the room of their band, but right below the tie where the return
// comes next; the strand's order runs upwards in a turned column.
std::vector<double> part_heights(const Span& span, const Heights& heights, std::size_t strand);

}  // namespace gapwright::schematic
