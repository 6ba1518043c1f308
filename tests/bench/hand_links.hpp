// The least whole link and its plans by hand, with pins named as a link's wiring names them.
#pragma once

#include <fmt/format.h>

#include "board/plan_table.hpp"

namespace gapwright::testing_support {

// R1 and a coupler; pull-up and a logic input.
inline const char* const least_text = R"(title = "Least"
[input]
supply = "9 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > signal", "signal > U1 > return", "signal > L1 > return"]
[parts]
R1 = { kind = "resistor", value = "1 kΩ ± 5 %", power = "0.25 W" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "10 kΩ ± 5 %" }
L1 = { card = "logic-input-5v" }
)";

// One row a pin, in the order R1 1, 2, U1 1 … 4, R2 1, 2, L1, input supply +, -, output supply +,
// -.
inline std::vector<PinRow> pins_of_least(const std::vector<std::string>& holes) {
    const std::pair<const char*, const char*> names[] = {
        {"R1", "1"},           {"R1", "2"},           {"U1", "1 anode"},     {"U1", "2 cathode"},
        {"U1", "3 emitter"},   {"U1", "4 collector"}, {"R2", "1"},           {"R2", "2"},
        {"L1", "pin"},         {"input supply", "+"}, {"input supply", "-"}, {"output supply", "+"},
        {"output supply", "-"}};
    std::vector<PinRow> rows;
    for (std::size_t k = 0; k < holes.size(); ++k) {
        rows.push_back({names[k].first, names[k].second, holes[k]});
    }
    return rows;
}

inline PlanTable least_on_solderless() {
    return {.board = solderless_board(30),
            .pins = pins_of_least({"b6", "b10", "e10", "e11", "f11", "f10", "i6", "i10", "h10",
                                   "L+1", "L-3", "R+1", "R-3"}),
            .wires = {{"L+7", "a6"}, {"a11", "L-11"}, {"R+7", "j6"}, {"j11", "R-11"}},
            .cuts = {}};
}

// On the output side a wire takes the signal from the coupler's row 4 to row 6; return is row 5.
inline PlanTable least_on_strip() {
    PlanTable table{.board = plain_board(BoardKind::strip, 6, 4, 4),
                    .pins = pins_of_least({"B1", "B4", "D4", "D5", "G5", "G4", "I1", "I6", "J6",
                                           "A1", "A5", "J1", "J5"}),
                    .wires = {{"H4", "H6"}},
                    .cuts = {}};
    for (int row = 1; row <= table.board.rows; ++row) {
        table.cuts.push_back(fmt::format("E{}", row));
        table.cuts.push_back(fmt::format("F{}", row));
    }
    return table;
}

// No board to build on: its sides are neighbours, D and E, so that a slip can bridge them.
inline PlanTable least_on_narrow_grid() {
    return {.board = {BoardKind::grid, 6, 8, 3, 4},
            .pins = pins_of_least(
                {"B1", "B4", "D4", "D5", "E5", "E4", "G1", "G4", "E3", "A1", "A5", "H1", "H5"}),
            .wires = {{"A1", "B1"},
                      {"B4", "D4"},
                      {"D5", "A5"},
                      {"G1", "H1"},
                      {"E4", "G4"},
                      {"E3", "E4"},
                      {"E5", "H5"}},
            .cuts = {}};
}

}  // namespace gapwright::testing_support
