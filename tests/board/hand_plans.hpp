// The least link on the three boards, planned by hand as a builder would.
#pragma once

#include <algorithm>
#include <string>

#include "board/made_wirings.hpp"
#include "board/plan_table.hpp"

namespace gapwright::testing_support {

// Rails carry both supplies; U1 astride the channel in rows 10 and 11.
inline PlanTable solderless_by_hand() {
    return {.board = solderless_board(30),
            .pins = {{"input supply", "1", "L+1"},
                     {"input supply", "2", "L-1"},
                     {"R1", "1", "b6"},
                     {"R1", "2", "b10"},
                     {"U1", "1", "e10"},
                     {"U1", "2", "e11"},
                     {"U1", "3", "f11"},
                     {"U1", "4", "f10"},
                     {"R2", "1", "i6"},
                     {"R2", "2", "i10"},
                     {"output supply", "1", "R+2"},
                     {"output supply", "2", "R-2"},
                     {"signal", "1", "h10"}},
            .wires = {{"L+7", "a6"}, {"a11", "L-11"}, {"R+7", "j6"}, {"j11", "R-11"}},
            .cuts = {}};
}

// Four columns a side (A–D, G–J), all strips cut at E and F. On each side supply is row 1, the node
// between row 4, return row 5; on the output side a wire takes the signal on to row 6.
inline PlanTable strip_by_hand() {
    PlanTable table{.board = plain_board(BoardKind::strip, 6, 4, 4),
                    .pins = {{"input supply", "1", "A1"},
                             {"input supply", "2", "A5"},
                             {"R1", "1", "B1"},
                             {"R1", "2", "B4"},
                             {"U1", "1", "D4"},
                             {"U1", "2", "D5"},
                             {"U1", "3", "G5"},
                             {"U1", "4", "G4"},
                             {"R2", "1", "I1"},
                             {"R2", "2", "I6"},
                             {"output supply", "1", "J1"},
                             {"output supply", "2", "J5"},
                             {"signal", "1", "J6"}},
                    .wires = {{"H4", "H6"}},
                    .cuts = {}};
    for (int row = 1; row <= table.board.rows; ++row) {
        table.cuts.push_back("E" + std::to_string(row));
        table.cuts.push_back("F" + std::to_string(row));
    }
    return table;
}

// Bare wires underneath, from pin to pin along the grid.
inline PlanTable grid_by_hand() {
    return {.board = plain_board(BoardKind::grid, 6, 4, 4),
            .pins = {{"input supply", "1", "A1"},
                     {"input supply", "2", "A5"},
                     {"R1", "1", "B1"},
                     {"R1", "2", "B4"},
                     {"U1", "1", "D4"},
                     {"U1", "2", "D5"},
                     {"U1", "3", "G5"},
                     {"U1", "4", "G4"},
                     {"R2", "1", "I1"},
                     {"R2", "2", "I4"},
                     {"output supply", "1", "J1"},
                     {"output supply", "2", "J5"},
                     {"signal", "1", "G3"}},
            .wires = {{"A1", "B1"},
                      {"B4", "D4"},
                      {"D5", "A5"},
                      {"I1", "J1"},
                      {"G4", "I4"},
                      {"G3", "G4"},
                      {"G5", "J5"}},
            .cuts = {}};
}

inline PlanTable by_hand(BoardKind kind) {
    switch (kind) {
        case BoardKind::solderless:
            return solderless_by_hand();
        case BoardKind::strip:
            return strip_by_hand();
        case BoardKind::grid:
            return grid_by_hand();
    }
    return {};
}

// Where a pin stands; empty where it has no row.
inline std::string& hole_of(PlanTable& table, const std::string& part, const std::string& pin) {
    return std::ranges::find_if(
               table.pins, [&](const PinRow& row) { return row.part == part && row.pin == pin; })
        ->hole;
}

}  // namespace gapwright::testing_support
