// What every plan keeps, for many wirings.
#include "board/plan_board.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <set>
#include <string>
#include <vector>

#include "board/hole_check.hpp"
#include "board/many_wirings.hpp"
#include "board/plan_rules.hpp"
#include "board/read_back.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

void expect_right(const Plan& plan, const Wiring& wiring) {
    for (const auto& fault : read_back(table_of(plan, wiring), wiring)) {
        ADD_FAILURE() << fault.text;
    }
    EXPECT_TRUE(HoleCheck(plan, wiring).right());
    ASSERT_EQ(plan.holes.size(), wiring.parts.size());
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const WiringPart& part = wiring.parts[k];
        ASSERT_EQ(plan.holes[k].size(), part.pins.size());
        for (const Hole hole : plan.holes[k]) EXPECT_TRUE(has_hole(plan.board, hole));
        if (part.footprint.body == Body::coupler) expect_couplers_astride(plan, k);
        if (part.pins.size() > 1) expect_spans(part, plan.holes[k]);
    }
    expect_bodies_apart(plan, wiring);
    expect_wires_clear(plan, wiring);
    std::size_t node = 0;
    for (const PlanWire& wire : plan.wires) {
        EXPECT_TRUE(has_hole(plan.board, wire.from) && has_hole(plan.board, wire.to));
        EXPECT_NE(wire.from, wire.to);
        EXPECT_LE(node, wire.node) << "wires by node";
        node = wire.node;
    }
    EXPECT_TRUE(plan.board.kind == BoardKind::strip || plan.cuts.empty());
}

class PlanBoard : public ::testing::TestWithParam<BoardKind> {};

TEST_P(PlanBoard, KeepsItsPromises) {
    for (const auto& [name, make] : wirings) {
        SCOPED_TRACE(name);
        const Wiring wiring = make();
        const auto plan = plan_board(wiring, {.kind = GetParam(), .starts = usual_starts});
        ASSERT_TRUE(plan) << plan.error().message;
        EXPECT_EQ(plan->board.kind, GetParam());
        expect_right(*plan, wiring);
    }
}

// A single short search finds plans that a person would not, and that must be right all the same.
TEST_P(PlanBoard, KeepsThemAfterShortSearchesToo) {
    std::size_t plans = 0;
    for (const auto& [name, make] : wirings) {
        const Wiring wiring = make();
        for (std::uint64_t seed = 1; seed <= many_seeds; ++seed) {
            SCOPED_TRACE(name + std::string(", seed ") + std::to_string(seed));
            const auto plan = plan_board(wiring, {.kind = GetParam(), .starts = 1, .seed = seed});
            if (!plan) continue;
            ++plans;
            expect_right(*plan, wiring);
        }
    }
    EXPECT_GE(plans, std::size(wirings) * many_seeds * 5 / 6);
}

// Supply and return run on the rails that are theirs, not on others.
TEST(PlanBoardSolderless, PutsNodesOnTheirRails) {
    for (const auto& [name, make] : wirings) {
        const Wiring wiring = make();
        const auto plan = plan_board(wiring, {.kind = BoardKind::solderless, .starts = 4});
        ASSERT_TRUE(plan) << name;
        std::vector<std::pair<Hole, std::size_t>> ends;
        for (const PlanWire& wire : plan->wires) {
            ends.emplace_back(wire.from, wire.node);
            ends.emplace_back(wire.to, wire.node);
        }
        for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
            for (std::size_t p = 0; p < wiring.parts[k].pins.size(); ++p) {
                const MaybeNode node = wiring.parts[k].pins[p].node;
                const Hole hole = plan->holes[k][p];
                if (!node) {
                    EXPECT_EQ(rail_of(plan->board, hole), Rail::none) << name;
                } else {
                    ends.emplace_back(hole, *node);
                }
            }
        }
        for (const auto& [hole, node] : ends) {
            const Rail rail = rail_of(plan->board, hole);
            if (rail == Rail::none) continue;
            EXPECT_EQ(wiring.nodes[node].rail, rail) << name;
        }
    }
}

void expect_same(const Plan& a, const Plan& b) {
    EXPECT_EQ(a.board, b.board);
    EXPECT_EQ(a.holes, b.holes);
    EXPECT_EQ(a.cuts, b.cuts);
    ASSERT_EQ(a.wires.size(), b.wires.size());
    for (std::size_t k = 0; k < a.wires.size(); ++k) {
        EXPECT_EQ(a.wires[k].from, b.wires[k].from);
        EXPECT_EQ(a.wires[k].to, b.wires[k].to);
        EXPECT_EQ(a.wires[k].node, b.wires[k].node);
        EXPECT_EQ(a.wires[k].insulated, b.wires[k].insulated);
    }
}

TEST_P(PlanBoard, IsTheSameEveryTime) {
    for (const auto& [name, make] : wirings) {
        SCOPED_TRACE(name);
        const Wiring wiring = make();
        const PlanOptions options{.kind = GetParam(), .starts = few_starts, .seed = 3};
        const auto one = plan_board(wiring, options);
        const auto other = plan_board(wiring, options);
        ASSERT_TRUE(one && other);
        expect_same(*one, *other);
    }
}

TEST_P(PlanBoard, GoesThroughItsTable) {
    for (const auto& [name, make] : wirings) {
        SCOPED_TRACE(name);
        const Wiring wiring = make();
        const auto plan = plan_board(wiring, {.kind = GetParam(), .starts = 1});
        ASSERT_TRUE(plan);
        expect_same(plan_of(table_of(*plan, wiring), wiring), *plan);
    }
}

// More starts never make wires longer: they begin with the same ones.
TEST_P(PlanBoard, GetsNoWorseWithMoreStarts) {
    const Wiring wiring = coupler_and_transistor();
    double last = 1;
    for (const int starts : {1, 2, 8, 24}) {
        const auto plan =
            plan_board(wiring, {.kind = GetParam(), .size = BoardSize{30, 15}, .starts = starts});
        ASSERT_TRUE(plan);
        const double length = wire_length(*plan) + 1e3 * static_cast<double>(crossing_wires(*plan));
        EXPECT_LE(length, last + 1e-12) << starts;
        last = length;
    }
}

INSTANTIATE_TEST_SUITE_P(Kinds, PlanBoard, ::testing::ValuesIn(board_kinds),
                         [](const auto& kind) { return std::string(board_kind_word(kind.param)); });

}  // namespace
}  // namespace gapwright
