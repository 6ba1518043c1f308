// A plan in words, as it stands in the wiring table and in a file: names of parts, pins and holes.
// What is built from is this, so this is what is checked.
#pragma once

#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"

namespace gapwright {

struct PinRow {
    std::string part;
    std::string pin;
    std::string hole;
};

struct WireRow {
    std::string from;  // hole
    std::string to;
    bool insulated = false;
};

struct PlanTable {
    Board board;
    std::vector<PinRow> pins;
    std::vector<WireRow> wires;
    std::vector<std::string> cuts;  // holes
};

// Pins that stand in no hole of the board get no row.
PlanTable table_of(const Plan& plan, const Wiring& wiring);

// The plan that the table tells: rows that name no pin of the wiring or no hole of the board are
// left out. Which node a wire is on is found from its holes' pins and strips; a wire that touches
// none is on node 0.
Plan plan_of(const PlanTable& table, const Wiring& wiring);

}  // namespace gapwright
