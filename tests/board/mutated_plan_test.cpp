// Plans that the search made, with every single thing in them changed: reading back must find a
// fault exactly where a second, simpler check finds one.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <set>
#include <string>
#include <vector>

#include "board/hole_check.hpp"
#include "board/made_wirings.hpp"
#include "board/plan_board.hpp"
#include "board/read_back.hpp"

namespace gapwright {
namespace {

using testing_support::HoleCheck;

// Six-pin coupler with two unused pins, a transistor and a node with a single pin.
Wiring link_with_unused_pins() {
    testing_support::WiringMaker made;
    const auto in_plus = made.node(Side::input, "supply", Rail::supply);
    const auto in_minus = made.node(Side::input, "return", Rail::returns);
    const auto anode = made.node(Side::input, "anode");
    const auto out_plus = made.node(Side::output, "supply", Rail::supply);
    const auto out_minus = made.node(Side::output, "return", Rail::returns);
    const auto base = made.node(Side::output, "base");
    const auto coil = made.node(Side::output, "coil");
    made.leads("input supply", Side::input, {in_plus, in_minus});
    made.resistor("R1", Side::input, in_plus, anode);
    made.coupler("U1", {anode, in_minus, {}, base, out_plus, {}});
    made.transistor("Q1", Side::output, out_minus, base, coil);
    made.leads("output supply", Side::output, {out_plus, out_minus});
    return made.wiring();
}

class MutatedPlan : public ::testing::TestWithParam<BoardKind> {
  protected:
    void SetUp() override {
        for (const Wiring& wiring : {testing_support::least_link(), link_with_unused_pins()}) {
            const auto plan =
                plan_board(wiring, {.kind = GetParam(), .starts = testing_support::few_starts});
            ASSERT_TRUE(plan) << plan.error().message;
            ASSERT_TRUE(HoleCheck(*plan, wiring).right());
            cases_.push_back({wiring, *plan});
        }
    }

    void TearDown() override {
        EXPECT_GT(right_, 0U) << "no change was harmless";
        EXPECT_GT(wrong_, 20U) << "hardly a change was harmful";
    }

    void judge(const Plan& plan, const Wiring& wiring, const std::string& what) {
        const HoleCheck check(plan, wiring);
        const auto faults = read_back(table_of(plan, wiring), wiring);
        ++(check.right() ? right_ : wrong_);
        ASSERT_EQ(faults.empty(), check.right())
            << what << (faults.empty() ? "" : ": " + faults[0].text);
        bool told = false;
        for (const auto& fault : faults) {
            if (fault.kind != BoardFault::Kind::bridged) continue;
            told = true;
            ASSERT_EQ(fault.holes.size(), 2U) << fault.text;
            EXPECT_EQ(sides_at(fault.holes, check, plan).size(), 2U) << fault.text;
        }
        ASSERT_EQ(told, check.bridged()) << what;
        if (told) {
            EXPECT_EQ(faults[0].kind, BoardFault::Kind::bridged) << what;
        }
    }

    std::string name(const Plan& plan, Hole hole) { return hole_name(plan.board, hole); }

    std::vector<Hole> all_holes(const Board& board) {
        std::vector<Hole> holes;
        for (int row = 0; row < board.rows; ++row) {
            for (int column = 0; column < board.columns; ++column) {
                if (has_hole(board, {column, row})) holes.push_back({column, row});
            }
        }
        return holes;
    }

    // For each conductor a hole in which a wire could end; on a grid board any hole.
    std::vector<Hole> a_hole_each(const Plan& plan, const Wiring& wiring) {
        if (plan.board.kind == BoardKind::grid) return all_holes(plan.board);
        std::set<Hole> used;
        for (const auto& part : plan.holes) used.insert(part.begin(), part.end());
        for (const auto& wire : plan.wires) used.insert({wire.from, wire.to});
        const HoleCheck check(plan, wiring);
        std::map<std::size_t, Hole> free;
        for (const Hole hole : all_holes(plan.board)) {
            if (!used.contains(hole)) free.emplace(check.set_of(hole), hole);
        }
        std::vector<Hole> holes;
        for (const auto& [set, hole] : free) holes.push_back(hole);
        return holes;
    }

    struct Case {
        Wiring wiring;
        Plan plan;
    };
    std::vector<Case> cases_;

  private:
    // The sides whose grounds or pins are there.
    static std::set<Side> sides_at(const std::vector<std::string>& holes, const HoleCheck& check,
                                   const Plan& plan) {
        std::set<Side> sides;
        for (const auto& text : holes) {
            const Hole hole = hole_named(plan.board, text).value();
            if (const auto side = side_of(plan.board, hole)) sides.insert(*side);
            for (std::size_t k = 0; k < plan.holes.size(); ++k) {
                for (std::size_t p = 0; p < plan.holes[k].size(); ++p) {
                    if (plan.holes[k][p] == hole) sides.insert(check.wanted_side(k, p));
                }
            }
        }
        return sides;
    }

    std::size_t right_ = 0;
    std::size_t wrong_ = 0;
};

TEST_P(MutatedPlan, PinMoved) {
    for (auto& [wiring, plan] : cases_) {
        for (std::size_t k = 0; k < plan.holes.size(); ++k) {
            for (Hole& hole : plan.holes[k]) {
                const Hole before = hole;
                for (const Hole& other : all_holes(plan.board)) {
                    hole = other;
                    judge(plan, wiring,
                          wiring.parts[k].name + " from " + name(plan, before) + " to " +
                              name(plan, other));
                    if (HasFatalFailure()) return;
                }
                hole = before;
            }
        }
    }
}

TEST_P(MutatedPlan, PinsSwapped) {
    for (auto& [wiring, plan] : cases_) {
        std::vector<Hole*> pins;
        for (auto& part : plan.holes) {
            for (Hole& hole : part) pins.push_back(&hole);
        }
        for (std::size_t a = 0; a < pins.size(); ++a) {
            for (std::size_t b = 0; b <= a; ++b) {
                std::swap(*pins[a], *pins[b]);
                judge(plan, wiring, name(plan, *pins[a]) + " and " + name(plan, *pins[b]));
                std::swap(*pins[a], *pins[b]);
                if (HasFatalFailure()) return;
            }
        }
    }
}

TEST_P(MutatedPlan, WireRemovedOrEndedElsewhere) {
    for (auto& [wiring, plan] : cases_) {
        judge(plan, wiring, "as it is");
        for (std::size_t k = 0; k < plan.wires.size(); ++k) {
            Plan changed = plan;
            changed.wires.erase(changed.wires.begin() + static_cast<std::ptrdiff_t>(k));
            judge(changed, wiring, fmt::format("without wire {}", k));
            if (HasFatalFailure()) return;
            for (const Hole hole : all_holes(plan.board)) {
                for (Hole PlanWire::* end : {&PlanWire::from, &PlanWire::to}) {
                    changed = plan;
                    changed.wires[k].*end = hole;
                    judge(changed, wiring, fmt::format("wire {} to {}", k, name(plan, hole)));
                    if (HasFatalFailure()) return;
                }
            }
        }
    }
}

TEST_P(MutatedPlan, WireAdded) {
    for (auto& [wiring, plan] : cases_) {
        const auto holes = a_hole_each(plan, wiring);
        for (std::size_t a = 0; a < holes.size(); ++a) {
            for (std::size_t b = 0; b < a; ++b) {
                for (const bool insulated : {false, true}) {
                    Plan changed = plan;
                    changed.wires.push_back({0, holes[a], holes[b], insulated});
                    judge(changed, wiring,
                          fmt::format("{}wire {} to {}", insulated ? "insulated " : "",
                                      name(plan, holes[a]), name(plan, holes[b])));
                    if (HasFatalFailure()) return;
                }
            }
        }
    }
}

class MutatedCuts : public MutatedPlan {};

TEST_P(MutatedCuts, StripUncutOrCut) {
    for (auto& [wiring, plan] : cases_) {
        for (int row = 0; row < plan.board.rows; ++row) {
            Plan changed = plan;
            std::erase_if(changed.cuts, [&](Hole cut) { return cut.row == row; });
            judge(changed, wiring, fmt::format("strip {} whole", row + 1));
            if (HasFatalFailure()) return;
        }
        for (const Hole hole : all_holes(plan.board)) {
            Plan changed = plan;
            if (std::erase(changed.cuts, hole) == 0) changed.cuts.push_back(hole);
            judge(changed, wiring, "cut or not at " + name(plan, hole));
            if (HasFatalFailure()) return;
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Kinds, MutatedPlan, ::testing::ValuesIn(board_kinds),
                         [](const auto& kind) { return std::string(board_kind_word(kind.param)); });

INSTANTIATE_TEST_SUITE_P(Kinds, MutatedCuts, ::testing::Values(BoardKind::strip),
                         [](const auto&) { return std::string("strip"); });

}  // namespace
}  // namespace gapwright
