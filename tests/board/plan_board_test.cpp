// What every plan keeps, for wirings that ask for something each.
#include "board/plan_board.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <set>
#include <string>
#include <vector>

#include "board/hole_check.hpp"
#include "board/made_wirings.hpp"
#include "board/read_back.hpp"

namespace gapwright {
namespace {

using testing_support::HoleCheck;
using testing_support::least_link;
using testing_support::MaybeNode;
using testing_support::WiringMaker;

Wiring two_resistors() {
    WiringMaker made;
    const auto plus = made.node(Side::input, "supply", Rail::supply);
    const auto middle = made.node(Side::input, "middle");
    const auto minus = made.node(Side::input, "return", Rail::returns);
    made.resistor("R1", Side::input, plus, middle);
    made.resistor("R2", Side::input, middle, minus);
    return made.wiring();
}

// A six-pin coupler with two unused pins, a transistor, a capacitor, a node with a single pin.
Wiring coupler_and_transistor() {
    WiringMaker made;
    const auto in_minus = made.node(Side::input, "return", Rail::returns);
    const auto anode = made.node(Side::input, "anode");
    const auto out_plus = made.node(Side::output, "supply", Rail::supply);
    const auto out_minus = made.node(Side::output, "return", Rail::returns);
    const auto base = made.node(Side::output, "base");
    const auto coil = made.node(Side::output, "coil");
    made.leads("input", Side::input, {anode, in_minus});
    made.coupler("U1", {anode, in_minus, {}, base, out_plus, {}});
    made.transistor("Q1", Side::output, out_minus, base, coil);
    made.transistor("Q2", Side::output, {}, {}, out_plus);
    made.capacitor("C1", Side::output, out_plus, out_minus);
    made.leads("output supply", Side::output, {out_plus, out_minus});
    return made.wiring();
}

Wiring two_couplers() {
    WiringMaker made;
    const auto in_minus = made.node(Side::input, "return", Rail::returns);
    const auto first = made.node(Side::input, "first");
    const auto second = made.node(Side::input, "second");
    const auto out_minus = made.node(Side::output, "return", Rail::returns);
    const auto one = made.node(Side::output, "one");
    const auto other = made.node(Side::output, "other");
    made.coupler("U1", {first, in_minus, out_minus, one});
    made.coupler("U2", {second, in_minus, out_minus, other});
    made.leads("input", Side::input, {first, second, in_minus});
    made.leads("output", Side::output, {one, other, out_minus});
    return made.wiring();
}

// Parts on both sides that nothing couples: light crosses from a lamp on leads.
Wiring no_coupler() {
    WiringMaker made;
    const auto plus = made.node(Side::input, "supply", Rail::supply);
    const auto lamp = made.node(Side::input, "lamp");
    const auto out_plus = made.node(Side::output, "supply", Rail::supply);
    const auto signal = made.node(Side::output, "signal");
    made.resistor("R1", Side::input, plus, lamp);
    made.leads("lamp", Side::input, {plus, lamp});
    made.resistor("R2", Side::output, out_plus, signal);
    made.leads("receiver", Side::output, {signal, out_plus});
    return made.wiring();
}

Wiring chain_of_resistors() {
    WiringMaker made;
    auto last = made.node(Side::output, "0");
    for (int k = 1; k <= 20; ++k) {
        const auto next = made.node(Side::output, std::to_string(k));
        made.resistor("R" + std::to_string(k), Side::output, last, next);
        last = next;
    }
    return made.wiring();
}

Wiring twelve_leads() {
    WiringMaker made;
    const auto node = made.node(Side::input, "common");
    for (int k = 1; k <= 12; ++k) made.leads("W" + std::to_string(k), Side::input, {node});
    return made.wiring();
}

// Parallel parts: all pins on two nodes, more of them than a row has holes.
Wiring parallel_parts() {
    WiringMaker made;
    const auto a = made.node(Side::output, "a");
    const auto b = made.node(Side::output, "b");
    for (int k = 1; k <= 4; ++k) made.resistor("R" + std::to_string(k), Side::output, a, b);
    for (int k = 1; k <= 4; ++k) made.capacitor("C" + std::to_string(k), Side::output, a, b);
    return made.wiring();
}

struct Named {
    const char* name;
    Wiring (*make)();
};
const Named wirings[] = {{"least link", least_link},
                         {"two resistors", two_resistors},
                         {"coupler and transistor", coupler_and_transistor},
                         {"two couplers", two_couplers},
                         {"no coupler", no_coupler},
                         {"chain of resistors", chain_of_resistors},
                         {"twelve leads", twelve_leads},
                         {"parallel parts", parallel_parts}};

struct Rectangle {
    double left, right, top, bottom;
};

// What a body covers: along the line of its pins its length or as far as the pins reach, across it
// its width.
Rectangle covered(const WiringPart& part, const std::vector<Hole>& pins) {
    const auto columns = std::ranges::minmax(pins, {}, &Hole::column);
    const auto rows = std::ranges::minmax(pins, {}, &Hole::row);
    const double x = (columns.min.column + columns.max.column) / 2.0;
    const double y = (rows.min.row + rows.max.row) / 2.0;
    const Footprint& foot = part.footprint;
    double along = 0;
    double across = 0;
    if (foot.body == Body::coupler) {  // its pins' rows lie along it
        along = foot.length;
        across = foot.width;
        return {x - across / 2, x + across / 2, y - along / 2, y + along / 2};
    }
    along = foot.length;
    across = foot.width;
    if (columns.min.column == columns.max.column) std::swap(along, across);
    return {x - along / 2, x + along / 2, y - across / 2, y + across / 2};
}

bool overlap(const Rectangle& a, const Rectangle& b) {
    constexpr double rounding = 1e-9;
    return a.left < b.right - rounding && b.left < a.right - rounding &&
           a.top < b.bottom - rounding && b.top < a.bottom - rounding;
}

void expect_couplers_astride(const Plan& plan, std::size_t k) {
    const auto& pins = plan.holes[k];
    const std::size_t half = pins.size() / 2;
    for (std::size_t p = 0; p < half; ++p) {
        const int row = pins[0].row + static_cast<int>(p);
        EXPECT_EQ(pins[p], (Hole{plan.board.gap_left, row})) << p;
        EXPECT_EQ(pins[pins.size() - 1 - p], (Hole{plan.board.gap_right, row})) << p;
    }
}

void expect_spans(const WiringPart& part, const std::vector<Hole>& pins) {
    const int across = std::abs(pins[1].column - pins[0].column);
    const int down = std::abs(pins[1].row - pins[0].row);
    switch (part.footprint.body) {
        case Body::axial:
        case Body::radial:
            EXPECT_TRUE(across == 0 || down == 0) << part.name << " lies aslant";
            EXPECT_GE(across + down, part.footprint.least_span) << part.name;
            EXPECT_LE(across + down, part.footprint.most_span) << part.name;
            break;
        case Body::in_line:
            EXPECT_EQ(across + down, 1) << part.name;
            EXPECT_EQ(pins[2].column - pins[1].column, pins[1].column - pins[0].column);
            EXPECT_EQ(pins[2].row - pins[1].row, pins[1].row - pins[0].row);
            break;
        case Body::coupler:
        case Body::leads:
            break;
    }
}

void expect_bodies_apart(const Plan& plan, const Wiring& wiring) {
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const WiringPart& part = wiring.parts[k];
        if (part.footprint.body == Body::leads) continue;
        const Rectangle body = covered(part, plan.holes[k]);
        for (std::size_t other = 0; other < wiring.parts.size(); ++other) {
            if (other == k) continue;
            const WiringPart& second = wiring.parts[other];
            if (other > k && second.footprint.body != Body::leads) {
                EXPECT_FALSE(overlap(body, covered(second, plan.holes[other])))
                    << part.name << " and " << second.name;
            }
            for (const Hole pin : plan.holes[other]) {
                const double x = pin.column;
                const double y = pin.row;
                EXPECT_FALSE(overlap(body, {x, x, y, y}))
                    << "a pin of " << second.name << " under " << part.name;
            }
        }
    }
}

class PlanBoard : public ::testing::TestWithParam<BoardKind> {};

TEST_P(PlanBoard, KeepsItsPromises) {
    for (const auto& [name, make] : wirings) {
        SCOPED_TRACE(name);
        const Wiring wiring = make();
        const auto plan = plan_board(wiring, {.kind = GetParam()});
        ASSERT_TRUE(plan) << plan.error().message;
        EXPECT_EQ(plan->board.kind, GetParam());
        for (const auto& fault : read_back(table_of(*plan, wiring), wiring)) {
            ADD_FAILURE() << fault.text;
        }
        EXPECT_TRUE(HoleCheck(*plan, wiring).right());
        ASSERT_EQ(plan->holes.size(), wiring.parts.size());
        for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
            const WiringPart& part = wiring.parts[k];
            ASSERT_EQ(plan->holes[k].size(), part.pins.size());
            for (const Hole hole : plan->holes[k]) EXPECT_TRUE(has_hole(plan->board, hole));
            if (part.footprint.body == Body::coupler) expect_couplers_astride(*plan, k);
            if (part.pins.size() > 1) expect_spans(part, plan->holes[k]);
        }
        expect_bodies_apart(*plan, wiring);
        std::size_t node = 0;
        for (const PlanWire& wire : plan->wires) {
            EXPECT_TRUE(has_hole(plan->board, wire.from) && has_hole(plan->board, wire.to));
            EXPECT_NE(wire.from, wire.to);
            EXPECT_LE(node, wire.node) << "wires by node";
            node = wire.node;
        }
        EXPECT_TRUE(GetParam() == BoardKind::strip || plan->cuts.empty());
    }
}

// Supply and return run on the rails that are theirs, not on others.
TEST(PlanBoardSolderless, PutsNodesOnTheirRails) {
    for (const auto& [name, make] : wirings) {
        const Wiring wiring = make();
        const auto plan = plan_board(wiring, {.kind = BoardKind::solderless});
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
            if (rail != Rail::none) EXPECT_EQ(wiring.nodes[node].rail, rail) << name;
        }
    }
}

TEST_P(PlanBoard, OnTooSmallABoardNamesASizeThatDoes) {
    for (const auto& [name, make] : wirings) {
        SCOPED_TRACE(name);
        const Wiring wiring = make();
        const auto free = plan_board(wiring, {.kind = GetParam()});
        ASSERT_TRUE(free);
        if (GetParam() == BoardKind::solderless) {
            EXPECT_EQ(free->board.rows, solderless_rows[name == std::string("chain of resistors")]);
        }
        const auto plan = plan_board(wiring, {.kind = GetParam(), .size = BoardSize{1, 5}});
        ASSERT_FALSE(plan);
        EXPECT_FALSE(plan.error().stopped);
        EXPECT_NE(plan.error().message.find("fit"), std::string::npos) << plan.error().message;
        ASSERT_TRUE(plan.error().needs);
        const BoardSize needs = *plan.error().needs;
        const auto larger = plan_board(wiring, {.kind = GetParam(), .size = needs});
        ASSERT_TRUE(larger) << larger.error().message;
        EXPECT_EQ(larger->board.rows, needs.rows);
        if (GetParam() != BoardKind::solderless) EXPECT_EQ(larger->board.columns, needs.columns);
        EXPECT_TRUE(HoleCheck(*larger, wiring).right());
    }
}

// The size that a plan came out with does for the same parts.
TEST_P(PlanBoard, FitsOnTheSizeThatItChose) {
    const Wiring wiring = coupler_and_transistor();
    const auto plan = plan_board(wiring, {.kind = GetParam()});
    ASSERT_TRUE(plan);
    const BoardSize size{plan->board.rows, plan->board.columns};
    const auto again = plan_board(wiring, {.kind = GetParam(), .size = size});
    ASSERT_TRUE(again) << again.error().message;
    EXPECT_EQ(again->board.rows, size.rows);
    EXPECT_EQ(again->board.columns, size.columns);
}

TEST_P(PlanBoard, StopsBeforeThereIsAPlan) {
    int asked = 0;
    const auto plan = plan_board(coupler_and_transistor(), {.kind = GetParam(), .stop = [&] {
                                                                ++asked;
                                                                return true;
                                                            }});
    ASSERT_FALSE(plan);
    EXPECT_TRUE(plan.error().stopped);
    EXPECT_FALSE(plan.error().message.empty());
    EXPECT_GE(asked, 1);
    EXPECT_LE(asked, 3) << "goes on after being told to stop";
}

// Stopped later it may give what it has, which is as right as any plan.
TEST_P(PlanBoard, GivesARightPlanWhereItIsStoppedLate) {
    const Wiring wiring = coupler_and_transistor();
    int asked = 0;
    const auto counted = plan_board(wiring, {.kind = GetParam(), .stop = [&] {
                                                 ++asked;
                                                 return false;
                                             }});
    ASSERT_TRUE(counted);
    ASSERT_GT(asked, 3);
    int planned = 0;
    for (int limit = 1; limit < asked; limit += std::max(1, asked / 10)) {
        int left = limit;
        const auto plan =
            plan_board(wiring, {.kind = GetParam(), .stop = [&] { return left-- <= 0; }});
        if (!plan) {
            EXPECT_TRUE(plan.error().stopped);
            continue;
        }
        ++planned;
        EXPECT_TRUE(HoleCheck(*plan, wiring).right()) << limit;
    }
    EXPECT_GT(planned, 0);
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
        const PlanOptions options{.kind = GetParam(), .starts = 6, .seed = 3};
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
        const auto plan = plan_board(wiring, {.kind = GetParam(), .starts = 2});
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

TEST(PlanBoardSolderless, SaysWhereEvenTheLargestBoardIsTooSmall) {
    WiringMaker made;
    for (int k = 0; k < 80; ++k) {
        const auto a = made.node(Side::input, "a" + std::to_string(k));
        const auto b = made.node(Side::input, "b" + std::to_string(k));
        made.resistor("R" + std::to_string(k), Side::input, a, b);
    }
    const auto plan = plan_board(made.wiring(), {.kind = BoardKind::solderless, .starts = 1});
    ASSERT_FALSE(plan);
    EXPECT_NE(plan.error().message.find("63"), std::string::npos) << plan.error().message;
    EXPECT_FALSE(plan.error().needs);
}

TEST(PlanBoardEmpty, HasNothingToDo) {
    for (const BoardKind kind : board_kinds) {
        const auto plan = plan_board({}, {.kind = kind});
        ASSERT_TRUE(plan) << plan.error().message;
        EXPECT_TRUE(plan->wires.empty());
        EXPECT_TRUE(read_back(table_of(*plan, {}), {}).empty());
    }
}

}  // namespace
}  // namespace gapwright
