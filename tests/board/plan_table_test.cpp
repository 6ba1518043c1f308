// Plans as tables and back, lengths and crossings.
#include "board/plan_table.hpp"

#include <gtest/gtest.h>

#include "board/hand_plans.hpp"

namespace gapwright {
namespace {

using testing_support::by_hand;
using testing_support::hole_of;
using testing_support::least_link;

TEST(PlanTable, GoesThroughAPlan) {
    for (const BoardKind kind : board_kinds) {
        const PlanTable table = by_hand(kind);
        const PlanTable again = table_of(plan_of(table, least_link()), least_link());
        EXPECT_EQ(again.board, table.board);
        EXPECT_EQ(again.cuts, table.cuts);
        ASSERT_EQ(again.pins.size(), table.pins.size());
        for (std::size_t k = 0; k < table.pins.size(); ++k) {
            EXPECT_EQ(again.pins[k].part, table.pins[k].part);
            EXPECT_EQ(again.pins[k].pin, table.pins[k].pin);
            EXPECT_EQ(again.pins[k].hole, table.pins[k].hole);
        }
        EXPECT_EQ(again.wires.size(), table.wires.size());
    }
}

TEST(PlanTable, FindsTheNodesOfWires) {
    for (const BoardKind kind : board_kinds) {
        const PlanTable table = by_hand(kind);
        const Plan plan = plan_of(table, least_link());
        ASSERT_EQ(plan.wires.size(), table.wires.size());
        for (const PlanWire& wire : plan.wires) {
            const std::string from = hole_name(plan.board, wire.from);
            const std::string to = hole_name(plan.board, wire.to);
            std::size_t node = 99;
            if (from == "L+7" || from == "A1") node = 0;
            if (to == "L-11" || to == "A5") node = 1;
            if (from == "B4") node = 2;
            if (from == "R+7" || from == "I1") node = 3;
            if (to == "R-11" || to == "J5") node = 4;
            if (from == "G4" || from == "G3" || from == "H4") node = 5;
            EXPECT_EQ(wire.node, node) << from << " to " << to;
        }
    }
}

TEST(PlanTable, LeavesOutRowsThatNameNothing) {
    PlanTable table = by_hand(BoardKind::strip);
    table.pins.push_back({"R9", "1", "A3"});
    table.wires.push_back({"A3", "Z99"});
    table.cuts.push_back("E7");
    const Plan plan = plan_of(table, least_link());
    EXPECT_EQ(plan.holes.size(), 6U);
    EXPECT_EQ(plan.wires.size(), 1U);
    EXPECT_EQ(plan.cuts.size(), 12U);
    // And a pin without a hole has no row in a table made of it again.
    hole_of(table, "R1", "1") = "Z99";
    const PlanTable again = table_of(plan_of(table, least_link()), least_link());
    EXPECT_EQ(again.pins.size(), 12U);
    for (const PinRow& row : again.pins) EXPECT_TRUE(hole_named(again.board, row.hole)) << row.hole;
}

TEST(Plan, AddsWiresUp) {
    const Plan plan{.board = plain_board(BoardKind::grid, 9, 4, 4),
                    .holes = {},
                    .wires = {{0, {0, 0}, {3, 4}, true}, {0, {1, 1}, {1, 3}}, {1, {6, 2}, {9, 2}}},
                    .cuts = {}};
    EXPECT_NEAR(length_of(plan.wires[0]), 5 * 2.54e-3, 1e-12);
    EXPECT_NEAR(wire_length(plan), 10 * 2.54e-3, 1e-12);
    EXPECT_EQ(crossing_wires(plan), 1U);
}

TEST(Wiring, PinsStandOnTheirSides) {
    const Wiring wiring = least_link();
    EXPECT_EQ(side_of_pin(wiring.parts[1], 1), Side::input);   // R1
    EXPECT_EQ(side_of_pin(wiring.parts[3], 0), Side::output);  // R2
    const Side sides[] = {Side::input, Side::input, Side::output, Side::output};
    for (std::size_t p = 0; p < 4; ++p) EXPECT_EQ(side_of_pin(wiring.parts[2], p), sides[p]) << p;
}

}  // namespace
}  // namespace gapwright
