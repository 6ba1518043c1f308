// Distances of the sides, worked out by hand. The gap's columns are 7.62 mm apart.
#include "board/side_distance.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "board/hand_plans.hpp"

namespace gapwright {
namespace {

using testing_support::by_hand;
using testing_support::least_link;
using testing_support::WiringMaker;

constexpr double gap = 7.62e-3;
constexpr double tolerance = 1e-12;  // of doubles

// A lead on each side, on a node of its own.
Wiring lead_each() {
    WiringMaker made;
    const auto in = made.node(Side::input, "in");
    const auto out = made.node(Side::output, "out");
    made.leads("in", Side::input, {in});
    made.leads("out", Side::output, {out});
    return made.wiring();
}

// Four columns a side, 0 to 3 and 6 to 9, twelve rows.
Plan plan_with(BoardKind kind, Hole input, Hole output, std::vector<PlanWire> wires = {}) {
    Plan plan{
        .board = kind == BoardKind::solderless ? solderless_board(30) : plain_board(kind, 12, 4, 4),
        .holes = {{input}, {output}},
        .wires = std::move(wires),
        .cuts = {}};
    if (kind != BoardKind::strip) return plan;
    for (int row = 0; row < 12; ++row) {
        plan.cuts.push_back({4, row});
        plan.cuts.push_back({5, row});
    }
    return plan;
}

double metres(const Plan& plan) {
    const auto found = side_distance(lead_each(), plan);
    if (!found) {
        ADD_FAILURE() << "no distance";
        return 0;
    }
    return found->metres;
}

TEST(SideDistance, OnSolderlessBoardIsThatOfTheClips) {
    const Plan plan = plan_with(BoardKind::solderless, {4, 10}, {15, 20});
    EXPECT_NEAR(metres(plan), gap - 2 * 1.0e-3, tolerance);
}

TEST(SideDistance, OnStripBoardIsThatBetweenCuts) {
    // Each cut takes 1.6 mm of the 2.54 mm between hole and cut.
    const Plan plan = plan_with(BoardKind::strip, {0, 2}, {9, 7});
    EXPECT_NEAR(metres(plan), gap - 2 * (2.54e-3 - 1.6e-3), tolerance);
    const auto found = side_distance(lead_each(), plan);
    EXPECT_EQ(found->input.row, found->output.row);
    EXPECT_EQ(found->input.column, 3);
    EXPECT_EQ(found->output.column, 6);
}

TEST(SideDistance, OnStripBoardAJointBesideTheGapIsNearerThanItsStrip) {
    EXPECT_NEAR(metres(plan_with(BoardKind::strip, {3, 2}, {9, 7})),
                gap - (2.54e-3 - 1.6e-3) - 1.0e-3, tolerance);
    EXPECT_NEAR(metres(plan_with(BoardKind::strip, {3, 2}, {6, 2})), gap - 2 * 1.0e-3, tolerance);
}

// A single cut of 3.2 mm, with the output's copper left beside it.
TEST(SideDistance, OnStripBoardCutOnceIsThatOfOneCut) {
    Plan plan = plan_with(BoardKind::strip, {0, 2}, {9, 7});
    std::erase(plan.cuts, Hole{5, 4});
    EXPECT_NEAR(metres(plan), 3.2e-3, tolerance);
}

TEST(SideDistance, OnGridBoardIsThatOfJoints) {
    EXPECT_NEAR(metres(plan_with(BoardKind::grid, {3, 5}, {6, 5})), gap - 2.0e-3, tolerance);
    EXPECT_NEAR(metres(plan_with(BoardKind::grid, {2, 5}, {8, 5})), 6 * 2.54e-3 - 2.0e-3,
                tolerance);
    // Three columns and four rows: five pitches aslant.
    EXPECT_NEAR(metres(plan_with(BoardKind::grid, {3, 1}, {6, 5})), 5 * 2.54e-3 - 2.0e-3,
                tolerance);
}

TEST(SideDistance, CountsWiresBetweenTheirEnds) {
    const Plan plan = plan_with(BoardKind::grid, {0, 5}, {6, 5}, {{0, {3, 1}, {3, 9}}});
    EXPECT_NEAR(metres(plan), gap - 0.4e-3 - 1.0e-3, tolerance);
    const auto found = side_distance(lead_each(), plan);
    EXPECT_EQ(found->output, (Hole{6, 5}));
    EXPECT_EQ(found->input.column, 3);
}

TEST(SideDistance, CountsTheJointAtAWiresEnd) {
    const Plan plan = plan_with(BoardKind::grid, {0, 5}, {6, 5}, {{0, {0, 5}, {3, 5}}});
    EXPECT_NEAR(metres(plan), gap - 2.0e-3, tolerance);
}

// The strips and clips of a side lie there whether or not they are used; a grid board has none.
TEST(SideDistance, IsNoneWhereASideHasNoMetal) {
    WiringMaker made;
    const auto a = made.node(Side::input, "a");
    made.leads("a", Side::input, {a});
    for (const BoardKind kind : board_kinds) {
        Plan plan = plan_with(kind, {}, {});
        plan.holes = {{{kind == BoardKind::solderless ? 4 : 1, 5}}};
        const auto found = side_distance(made.wiring(), plan);
        EXPECT_EQ(found.has_value(), kind != BoardKind::grid) << board_kind_word(kind);
        EXPECT_FALSE(distance_under_coupler(made.wiring(), plan, 0)) << board_kind_word(kind);
    }
}

TEST(SideDistance, UnderCouplersIsThatOfTheirPads) {
    for (const BoardKind kind : board_kinds) {
        const Wiring wiring = least_link();
        const Plan plan = plan_of(by_hand(kind), wiring);
        const auto coupler = std::ranges::find_if(wiring.parts, [](const WiringPart& part) {
            return part.footprint.body == Body::coupler;
        });
        const auto at = static_cast<std::size_t>(coupler - wiring.parts.begin());
        const auto found = distance_under_coupler(wiring, plan, at);
        ASSERT_TRUE(found) << board_kind_word(kind);
        EXPECT_NEAR(found->metres, gap - 2.0e-3, tolerance) << board_kind_word(kind);
        EXPECT_EQ(found->input.row, found->output.row);
        EXPECT_EQ(found->input.column, plan.board.gap_left);
        EXPECT_EQ(found->output.column, plan.board.gap_right);
    }
}

// Whatever is added can only come nearer.
TEST(SideDistance, NeverGrowsByAWire) {
    for (const BoardKind kind : board_kinds) {
        const Wiring wiring = least_link();
        const Plan plan = plan_of(by_hand(kind), wiring);
        const double before = side_distance(wiring, plan)->metres;
        for (int row = 0; row < plan.board.rows; ++row) {
            Plan more = plan;
            more.wires.push_back({0, {plan.board.gap_left - 1, row}, {plan.board.gap_left, row}});
            EXPECT_LE(side_distance(wiring, more)->metres, before + tolerance) << row;
        }
    }
}

// A wire across the gap, or a pin on the other side, leaves none.
TEST(SideDistance, IsNothingWhereTheSidesMeet) {
    const Plan across = plan_with(BoardKind::grid, {0, 5}, {9, 5}, {{0, {0, 5}, {9, 5}}});
    EXPECT_LE(side_distance(lead_each(), across)->metres, 0);
}

}  // namespace
}  // namespace gapwright
