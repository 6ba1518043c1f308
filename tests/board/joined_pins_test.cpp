// Which pins a plan joins, against a second, simpler check and by hand.
#include "board/joined_pins.hpp"

#include <gtest/gtest.h>

#include "board/hand_plans.hpp"
#include "board/hole_check.hpp"

namespace gapwright {
namespace {

using testing_support::by_hand;
using testing_support::hole_of;
using testing_support::HoleCheck;
using testing_support::least_link;

// Whether two pins of the least link are joined; parts: 0 input supply, 1 R1, 2 U1, 3 R2,
// 4 output supply, 5 signal.
bool joined(const PlanTable& table, std::pair<std::size_t, std::size_t> a,
            std::pair<std::size_t, std::size_t> b) {
    const auto pins = joined_pins(plan_of(table, least_link()));
    return pins[a.first][a.second] == pins[b.first][b.second];
}

TEST(JoinedPins, AreThoseOfTheNodesOfAPlanThatIsRight) {
    const Wiring wiring = least_link();
    for (const BoardKind kind : board_kinds) {
        const auto pins = joined_pins(plan_of(by_hand(kind), wiring));
        ASSERT_EQ(pins.size(), wiring.parts.size());
        std::map<std::size_t, std::size_t> node_of;
        std::map<std::size_t, std::size_t> number_of;
        for (std::size_t k = 0; k < pins.size(); ++k) {
            ASSERT_EQ(pins[k].size(), wiring.parts[k].pins.size());
            for (std::size_t p = 0; p < pins[k].size(); ++p) {
                const std::size_t node = *wiring.parts[k].pins[p].node;
                EXPECT_EQ(node_of.emplace(pins[k][p], node).first->second, node);
                EXPECT_EQ(number_of.emplace(node, pins[k][p]).first->second, pins[k][p]);
            }
        }
    }
}

TEST(JoinedPins, ARailsHolesAreOneAndRowsOfFiveAreNot) {
    PlanTable table = by_hand(BoardKind::solderless);
    hole_of(table, "R1", "1") = "L+29";
    EXPECT_TRUE(joined(table, {0, 0}, {1, 0}));
    hole_of(table, "R1", "1") = "f10";  // over the channel
    hole_of(table, "U1", "4") = "f12";
    EXPECT_FALSE(joined(table, {1, 0}, {2, 0}));
    EXPECT_TRUE(joined(table, {1, 0}, {5, 0}));
}

TEST(JoinedPins, ACutEndsAStripAndJoinsNothing) {
    PlanTable table = by_hand(BoardKind::strip);
    EXPECT_TRUE(joined(table, {1, 1}, {2, 0}));
    table.cuts.push_back("C4");
    EXPECT_FALSE(joined(table, {1, 1}, {2, 0}));
    hole_of(table, "R1", "2") = "C4";
    EXPECT_FALSE(joined(table, {1, 1}, {2, 0}));
    table.cuts.clear();
    EXPECT_TRUE(joined(table, {1, 1}, {2, 3}));  // across the gap
}

TEST(JoinedPins, BareWireJoinsWhatItLiesOverButNotAslantOrInsulated) {
    PlanTable table = by_hand(BoardKind::grid);
    hole_of(table, "signal", "1") = "H4";  // on the wire from G4 to I4
    table.wires.erase(table.wires.begin() + 5);
    EXPECT_TRUE(joined(table, {5, 0}, {2, 3}));
    table.wires[4].insulated = true;
    EXPECT_FALSE(joined(table, {5, 0}, {2, 3}));
    EXPECT_TRUE(joined(table, {3, 1}, {2, 3}));
    table.wires[4] = {"G4", "I6"};
    hole_of(table, "R2", "2") = "I6";
    hole_of(table, "signal", "1") = "H5";
    EXPECT_TRUE(joined(table, {3, 1}, {2, 3}));
    EXPECT_FALSE(joined(table, {5, 0}, {2, 3}));
}

TEST(JoinedPins, AgreeWithTheSimplerCheckWhereverAPinIsPut) {
    const Wiring wiring = least_link();
    for (const BoardKind kind : board_kinds) {
        const Plan right = plan_of(by_hand(kind), wiring);
        for (std::size_t k = 0; k < right.holes.size(); ++k) {
            for (std::size_t p = 0; p < right.holes[k].size(); ++p) {
                for (int c = 0; c < right.board.columns * right.board.rows; ++c) {
                    Plan plan = right;
                    const Hole hole{c % right.board.columns, c / right.board.columns};
                    if (!has_hole(plan.board, hole)) continue;
                    plan.holes[k][p] = hole;
                    const HoleCheck check(plan, wiring);
                    const auto pins = joined_pins(plan);
                    for (std::size_t j = 0; j < pins.size(); ++j) {
                        for (std::size_t q = 0; q < pins[j].size(); ++q) {
                            ASSERT_EQ(pins[k][p] == pins[j][q],
                                      check.set_of(hole) == check.set_of(plan.holes[j][q]))
                                << hole_name(plan.board, hole);
                        }
                    }
                }
            }
        }
    }
}

}  // namespace
}  // namespace gapwright
