// A plan of a board: which pin goes into which hole, and what joins holes besides the board's own
// metal.
#pragma once

#include <cstddef>
#include <vector>

#include "board/board.hpp"

namespace gapwright {

// A straight run from hole to hole. On a grid board bare wire underneath, else above the board.
struct PlanWire {
    std::size_t node = 0;  // index in Wiring::nodes
    Hole from;
    Hole to;
    bool insulated = false;  // crosses others, so it must be
};

struct Plan {
    Board board;
    std::vector<std::vector<Hole>> holes;  // by part and pin of the wiring
    std::vector<PlanWire> wires;           // by node
    std::vector<Hole> cuts;                // strip boards: where the strip is taken away
};

double length_of(const PlanWire& wire);        // m, between its holes
double wire_length(const Plan& plan);          // m, all wires together
std::size_t crossing_wires(const Plan& plan);  // how many must be insulated

}  // namespace gapwright
