// Plans by hand, right ones and ones with a single mistake each: what reading back says of them.
#include "board/read_back.hpp"

#include <gtest/gtest.h>

#include <functional>
#include <set>
#include <string>
#include <vector>

#include "board/hand_plans.hpp"

namespace gapwright {
namespace {

using testing_support::by_hand;
using testing_support::hole_of;
using testing_support::least_link;
using Kind = BoardFault::Kind;

struct Mistake {
    const char* what;
    BoardKind board;
    std::function<void(PlanTable&)> make;
    Kind kind;
    std::set<std::string> holes;  // any of the fault's holes when empty
};

std::string told(const std::vector<BoardFault>& faults) {
    std::string text;
    for (const auto& fault : faults) text += "\n  " + fault.text;
    return text;
}

// Whether a fault of that kind with just those holes is among them.
bool has(const std::vector<BoardFault>& faults, Kind kind, const std::set<std::string>& holes) {
    return std::ranges::any_of(faults, [&](const BoardFault& fault) {
        return fault.kind == kind &&
               (holes.empty() || std::set(fault.holes.begin(), fault.holes.end()) == holes);
    });
}

void erase_pin(PlanTable& table, const std::string& part, const std::string& pin) {
    std::erase_if(table.pins,
                  [&](const PinRow& row) { return row.part == part && row.pin == pin; });
}

void uncut(PlanTable& table, const std::string& row) {
    std::erase_if(table.cuts, [&](const std::string& hole) { return hole.substr(1) == row; });
}

constexpr auto solderless = BoardKind::solderless;
constexpr auto strip = BoardKind::strip;
constexpr auto grid = BoardKind::grid;

const Mistake mistakes[] = {
    {"row past the end",
     solderless,
     [](auto& t) { hole_of(t, "R1", "1") = "b31"; },
     Kind::no_such_hole,
     {"b31"}},
    {"left-out rail hole",
     solderless,
     [](auto& t) { hole_of(t, "input supply", "1") = "L+6"; },
     Kind::no_such_hole,
     {"L+6"}},
    {"column past the end",
     grid,
     [](auto& t) { t.wires.push_back({"K1", "J1"}); },
     Kind::no_such_hole,
     {"K1"}},
    {"cut off the board",
     strip,
     [](auto& t) { t.cuts.push_back("E7"); },
     Kind::no_such_hole,
     {"E7"}},
    {"no name at all", grid, [](auto& t) { hole_of(t, "R1", "1") = ""; }, Kind::no_such_hole, {""}},
    {"unknown part",
     grid,
     [](auto& t) { t.pins.push_back({"R9", "1", "A3"}); },
     Kind::no_such_pin,
     {}},
    {"unknown pin",
     grid,
     [](auto& t) { t.pins.push_back({"R1", "3", "A3"}); },
     Kind::no_such_pin,
     {}},
    {"pin left out", grid, [](auto& t) { erase_pin(t, "R1", "2"); }, Kind::pin_missing, {}},
    {"pin that is alone on its node left out",
     grid,
     [](auto& t) { erase_pin(t, "signal", "1"); },
     Kind::pin_missing,
     {}},
    {"pin twice",
     grid,
     [](auto& t) { t.pins.push_back({"R1", "2", "A3"}); },
     Kind::pin_missing,
     {}},
    {"pin twice, on its node both times",
     solderless,
     [](auto& t) { t.pins.push_back({"R1", "2", "c10"}); },
     Kind::pin_missing,
     {}},
    {"two pins in one hole",
     strip,
     [](auto& t) { hole_of(t, "R1", "1") = "A1"; },
     Kind::hole_used_twice,
     {"A1"}},
    {"wire into a pin's hole",
     solderless,
     [](auto& t) { t.wires[0].to = "b6"; },
     Kind::hole_used_twice,
     {"b6"}},
    {"wire into a wire's hole",
     solderless,
     [](auto& t) { t.wires.push_back({"a6", "L+3"}); },
     Kind::hole_used_twice,
     {"a6"}},
    {"neighbouring row",
     solderless,
     [](auto& t) { hole_of(t, "R1", "2") = "b11"; },
     Kind::joined_wrongly,
     {}},
    {"wire to the wrong rail",
     solderless,
     [](auto& t) { t.wires[1].to = "L+11"; },
     Kind::joined_wrongly,
     {}},
    {"wire between two nodes",
     grid,
     [](auto& t) { t.wires.push_back({"A1", "D4"}); },
     Kind::joined_wrongly,
     {}},
    {"strip of two nodes",
     strip,
     [](auto& t) { hole_of(t, "R1", "2") = "B5"; },
     Kind::joined_wrongly,
     {}},
    {"row of its own",
     solderless,
     [](auto& t) { hole_of(t, "R1", "2") = "b12"; },
     Kind::not_joined,
     {}},
    {"wire left out",
     grid,
     [](auto& t) { t.wires.erase(t.wires.begin()); },
     Kind::not_joined,
     {"A1", "B1"}},
    {"strip cut in its run",
     strip,
     [](auto& t) { t.cuts.push_back("C4"); },
     Kind::not_joined,
     {"B4", "D4"}},
    {"strip left whole", strip, [](auto& t) { uncut(t, "4"); }, Kind::bridged, {"D4", "G4"}},
    {"wire from side to side",
     solderless,
     [](auto& t) { t.wires.push_back({"a10", "j10"}); },
     Kind::bridged,
     {}},
    {"wire between the returns",
     solderless,
     [](auto& t) { t.wires.push_back({"L-3", "R-3"}); },
     Kind::bridged,
     {}},
    {"wire between the supplies",
     grid,
     [](auto& t) { t.wires.push_back({"B1", "I1"}); },
     Kind::bridged,
     {}},
    {"pin on the other side",
     grid,
     [](auto& t) { hole_of(t, "R1", "2") = "G4"; },
     Kind::bridged,
     {}},
    {"pin in the gap",
     grid,
     [](auto& t) { hole_of(t, "R1", "2") = "E4"; },
     Kind::in_the_gap,
     {"E4"}},
    {"wire into the gap",
     grid,
     [](auto& t) { t.wires.push_back({"D4", "E4"}); },
     Kind::in_the_gap,
     {}},
    {"wire within the gap",
     grid,
     [](auto& t) { t.wires.push_back({"E1", "E6"}); },
     Kind::in_the_gap,
     {}},
    {"pin in the gap, where the strip is cut",
     strip,
     [](auto& t) { hole_of(t, "R1", "2") = "E4"; },
     Kind::in_the_gap,
     {"E4"}},
};

TEST(ReadBack, FindsNothingInPlansByHand) {
    for (const BoardKind kind : board_kinds) {
        const auto faults = read_back(by_hand(kind), least_link());
        EXPECT_TRUE(faults.empty()) << board_kind_word(kind) << told(faults);
    }
}

TEST(ReadBack, FindsEachMistake) {
    for (const Mistake& mistake : mistakes) {
        PlanTable table = by_hand(mistake.board);
        mistake.make(table);
        const auto faults = read_back(table, least_link());
        EXPECT_TRUE(has(faults, mistake.kind, mistake.holes))
            << mistake.what << ": only" << told(faults);
        for (const auto& fault : faults) {
            for (const auto& hole : fault.holes) {
                EXPECT_NE(fault.text.find(hole), std::string::npos) << fault.text << ": " << hole;
            }
        }
    }
}

TEST(ReadBack, NamesAHoleOfEachSideWhereTheyAreBridged) {
    for (const BoardKind kind : board_kinds) {
        PlanTable table = by_hand(kind);
        if (kind == strip) {
            uncut(table, "5");
        } else {
            table.wires.push_back(kind == solderless ? WireRow{"a30", "j30"} : WireRow{"D5", "G5"});
        }
        const auto faults = read_back(table, least_link());
        ASSERT_FALSE(faults.empty());
        EXPECT_EQ(faults[0].kind, Kind::bridged) << told(faults);
        ASSERT_EQ(faults[0].holes.size(), 2U) << told(faults);
        const auto one = hole_named(table.board, faults[0].holes[0]);
        const auto other = hole_named(table.board, faults[0].holes[1]);
        ASSERT_TRUE(one && other) << told(faults);
        EXPECT_TRUE(side_of(table.board, *one) && side_of(table.board, *other));
        EXPECT_NE(side_of(table.board, *one), side_of(table.board, *other)) << told(faults);
    }
}

// A strip that nobody uses lies across the gap all the same when it is not cut.
TEST(ReadBack, FindsAnUnusedStripLeftWhole) {
    PlanTable table = by_hand(strip);
    uncut(table, "3");
    const auto faults = read_back(table, least_link());
    ASSERT_FALSE(faults.empty());
    EXPECT_TRUE(has(faults, Kind::bridged, {}) || has(faults, Kind::in_the_gap, {}))
        << told(faults);
}

// Between two cuts nothing is left; with one cut only, copper stands halfway into the gap.
TEST(ReadBack, FindsCopperLeftInTheGapByOneCut) {
    for (const char* left_out : {"E4", "F4", "E3", "F3"}) {
        PlanTable table = by_hand(strip);
        std::erase(table.cuts, left_out);
        const auto faults = read_back(table, least_link());
        EXPECT_TRUE(has(faults, Kind::in_the_gap, {})) << left_out << told(faults);
        EXPECT_FALSE(has(faults, Kind::bridged, {})) << left_out << told(faults);
    }
}

TEST(ReadBack, TellsTheMostDangerousFirst) {
    PlanTable table = by_hand(grid);
    table.pins.push_back({"R9", "1", "A3"});
    erase_pin(table, "signal", "1");
    table.wires.push_back({"Z99", "A1"});
    table.wires.push_back({"D5", "G5"});
    const auto faults = read_back(table, least_link());
    ASSERT_GE(faults.size(), 4U) << told(faults);
    EXPECT_EQ(faults[0].kind, Kind::bridged) << told(faults);
}

// Wires that join what is joined already are no fault, nor are strips cut where nothing is.
TEST(ReadBack, AllowsWhatChangesNothing) {
    PlanTable boarded = by_hand(solderless);
    boarded.wires.push_back({"L+3", "L+13"});
    boarded.wires.push_back({"a20", "a21"});
    EXPECT_TRUE(read_back(boarded, least_link()).empty());
    PlanTable stripped = by_hand(strip);
    stripped.cuts.push_back("A3");
    stripped.cuts.push_back("C1");
    EXPECT_TRUE(read_back(stripped, least_link()).empty());
    PlanTable gridded = by_hand(grid);
    gridded.wires.push_back({"H4", "I4"});
    gridded.wires.push_back({"G3", "I4", true});
    EXPECT_TRUE(read_back(gridded, least_link()).empty());
}

// Bare wires of two nodes that cross underneath touch; an insulated one does not.
TEST(ReadBack, FindsBareWiresThatCross) {
    PlanTable table = by_hand(grid);
    hole_of(table, "R1", "2") = "B6";
    table.wires.push_back({"B6", "B4"});  // across A5 to D5
    EXPECT_TRUE(has(read_back(table, least_link()), Kind::joined_wrongly, {}));
    table.wires[2].insulated = true;
    const auto faults = read_back(table, least_link());
    EXPECT_TRUE(faults.empty()) << told(faults);
}

// A bare wire lies on the joints of the holes that it passes.
TEST(ReadBack, FindsABareWireOverAnothersJoint) {
    PlanTable table = by_hand(grid);
    hole_of(table, "signal", "1") = "H5";  // between G5 and J5
    table.wires[5] = {"H5", "H4"};
    EXPECT_TRUE(has(read_back(table, least_link()), Kind::joined_wrongly, {}));
    table.wires[6].insulated = true;
    const auto faults = read_back(table, least_link());
    EXPECT_TRUE(faults.empty()) << told(faults);
}

// The unused pin of a coupler must stay unjoined.
TEST(ReadBack, FindsAnUnusedPinJoined) {
    Wiring wiring = least_link();
    wiring.parts[2].pins[3].node.reset();
    for (const BoardKind kind : board_kinds) {
        const auto faults = read_back(by_hand(kind), wiring);
        EXPECT_TRUE(has(faults, Kind::joined_wrongly, {})) << board_kind_word(kind) << told(faults);
    }
}

// Two unused pins joined with each other are no less joined.
TEST(ReadBack, FindsTwoUnusedPinsJoined) {
    Wiring wiring = least_link();
    wiring.parts[2].pins[3].node.reset();  // U1 4
    wiring.parts[3].pins[1].node.reset();  // R2 2
    wiring.parts[5].pins[0].node.reset();  // signal
    for (const BoardKind kind : board_kinds) {
        const auto faults = read_back(by_hand(kind), wiring);
        EXPECT_TRUE(has(faults, Kind::joined_wrongly, {})) << board_kind_word(kind) << told(faults);
    }
}

// Metal of one side among the other's, even where it is joined to nothing.
TEST(ReadBack, FindsAnUnusedPinOnTheOtherSide) {
    Wiring wiring = least_link();
    wiring.parts[5].pins[0].node.reset();  // signal
    for (const BoardKind kind : board_kinds) {
        PlanTable table = by_hand(kind);
        if (kind == grid) table.wires.erase(table.wires.begin() + 5);
        hole_of(table, "signal", "1") = kind == solderless ? "c20" : "A3";
        const auto faults = read_back(table, wiring);
        EXPECT_TRUE(has(faults, Kind::in_the_gap, {})) << board_kind_word(kind) << told(faults);
    }
}

// Otherwise a hole could be used twice under two names.
TEST(ReadBack, KnowsAHoleByOneNameOnly) {
    PlanTable boarded = by_hand(solderless);
    hole_of(boarded, "R1", "2") = "b010";
    EXPECT_TRUE(has(read_back(boarded, least_link()), Kind::no_such_hole, {"b010"}));
    PlanTable gridded = by_hand(grid);
    hole_of(gridded, "R1", "2") = "B04";
    EXPECT_TRUE(has(read_back(gridded, least_link()), Kind::no_such_hole, {"B04"}));
}

// The two routines know the same boards.
TEST(ReadBack, KnowsEveryHoleThatBoardsHave) {
    for (const Board& board :
         {solderless_board(30), solderless_board(63), plain_board(BoardKind::strip, 30, 3, 30),
          plain_board(BoardKind::grid, 30, 30, 60)}) {
        PlanTable table{.board = board, .pins = {}, .wires = {}, .cuts = {}};
        for (int column = 0; column < board.columns; ++column) {
            for (int row = 0; row < board.rows; ++row) {
                if (has_hole(board, {column, row})) {
                    table.cuts.push_back(hole_name(board, {column, row}));
                }
            }
        }
        const auto faults = read_back(table, {});
        EXPECT_TRUE(faults.empty()) << told(faults).substr(0, 200);
    }
}

}  // namespace
}  // namespace gapwright
