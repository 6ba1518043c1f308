// Faults of pins and wires' ends in neighbouring holes, each kind of consequence by hand.
#include "bench/misplaced.hpp"

#include <gtest/gtest.h>

#include <fmt/format.h>

#include "bench/fault_dictionary.hpp"
#include "bench/joined_in_link.hpp"
#include "board/plan_table.hpp"
#include "board/read_back.hpp"
#include "build/wiring_of_link.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using edits::Pin;
using edits::Terminal;
using testing_support::JoinedInLink;

constexpr Node supply = static_cast<Node>(1);
constexpr Node back = Node::side_return;

// R1 and a coupler; pull-up and a logic input.
const char* const text = R"(title = "Least"
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
std::vector<PinRow> pins(const std::vector<std::string>& holes) {
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

PlanTable solderless() {
    return {.board = solderless_board(30),
            .pins = pins({"b6", "b10", "e10", "e11", "f11", "f10", "i6", "i10", "h10", "L+1", "L-3",
                          "R+1", "R-3"}),
            .wires = {{"L+7", "a6"}, {"a11", "L-11"}, {"R+7", "j6"}, {"j11", "R-11"}},
            .cuts = {}};
}

// On the output side a wire takes the signal from the coupler's row 4 to row 6; return is row 5.
PlanTable strip() {
    PlanTable table{.board = plain_board(BoardKind::strip, 6, 4, 4),
                    .pins = pins({"B1", "B4", "D4", "D5", "G5", "G4", "I1", "I6", "J6", "A1", "A5",
                                  "J1", "J5"}),
                    .wires = {{"H4", "H6"}},
                    .cuts = {}};
    for (int row = 1; row <= table.board.rows; ++row) {
        table.cuts.push_back(fmt::format("E{}", row));
        table.cuts.push_back(fmt::format("F{}", row));
    }
    return table;
}

// No board to build on: its sides are neighbours, D and E, so that a slip can bridge them.
PlanTable narrow_grid() {
    return {.board = {BoardKind::grid, 6, 8, 3, 4},
            .pins = pins(
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

class Misplaced : public ::testing::Test {
  protected:
    void take(const PlanTable& table) {
        auto read = testing_support::link_from(text);
        ASSERT_TRUE(read) << to_text(read.error());
        const auto circuit = build_circuit(*read);
        ASSERT_TRUE(circuit);
        good_ = prepared_for_faults(*read, *circuit);
        wiring_ = wiring_of(good_);
        ASSERT_TRUE(read_back(table, wiring_).empty()) << read_back(table, wiring_)[0].text;
        faults_ = misplaced_faults(good_, wiring_, plan_of(table, wiring_));
    }

    const Fault* find(const std::string& suspect) const {
        const auto found = std::ranges::find(faults_, suspect, &Fault::suspect);
        return found == faults_.end() ? nullptr : &*found;
    }

    // The link with this fault; the good one, with a failure, where there is none of that name.
    Link with(const std::string& suspect) {
        Link link = good_;
        const Fault* fault = find(suspect);
        if (!fault) {
            ADD_FAILURE() << "no fault \"" << suspect << '"';
            for (const Fault& f : faults_) ADD_FAILURE() << f.suspect;
        }
        if (fault && fault->edit) fault->edit(link);
        return link;
    }

    std::size_t part(const char* name) const { return *good_.find_part(name); }
    Node node(Link& link, const char* name, Side side, Terminal terminal) const {
        return edits::node_at(link, {part(name), side, terminal});
    }
    Node signal() const { return *good_.output.find_node("signal"); }

    Link good_;
    Wiring wiring_;
    std::vector<Fault> faults_;
};

TEST_F(Misplaced, PinInAnEmptyRowHangs) {
    take(solderless());
    Link link = with("R1's lead stands in b5, not in b6");
    const Node hangs = node(link, "R1", Side::input, Terminal::from);
    EXPECT_EQ(hangs, static_cast<Node>(good_.input.node_names.size()));
    const Part& tie = link.parts.back();
    EXPECT_EQ(tie.description.nominal("value"), edits::no_connection);
    EXPECT_EQ(tie.input->from, hangs);
    EXPECT_EQ(tie.input->to, supply);
    EXPECT_EQ(link.parts.size(), good_.parts.size() + 1);
    // The row below is as empty, and so is the wire's neighbour: one fault, thrice as likely… and
    // the fourth, the wire's other row.
    EXPECT_EQ(find("R1's lead stands in b7, not in b6"), nullptr);
    EXPECT_NEAR(find("R1's lead stands in b5, not in b6")->weight, 4 * 0.15, 1e-12);
    EXPECT_EQ(find("R1's lead stands in b5, not in b6")->parts, std::vector{part("R1")});
}

TEST_F(Misplaced, PinInAnotherNodesRowIsJoinedToIt) {
    take(solderless());
    Link link = with("R1's lead stands in b11, not in b10");
    // The anode is left alone with the node; R1 feeds the return.
    EXPECT_EQ(node(link, "R1", Side::input, Terminal::from), supply);
    const JoinedInLink joined(good_, link, {});
    const auto set = [&](const char* name, Terminal terminal) {
        return joined.set_of(Side::input, node(link, name, Side::input, terminal));
    };
    EXPECT_EQ(set("R1", Terminal::to), joined.set_of(Side::input, back));
    EXPECT_NE(set("U1", Terminal::from), set("R1", Terminal::to));
    EXPECT_EQ(set("U1", Terminal::to), joined.set_of(Side::input, back));
}

TEST_F(Misplaced, CouplerGoesAsOne) {
    take(solderless());
    Link link = with("U1 stands with 1 anode in e11, not in e10");
    const JoinedInLink joined(good_, link, {});
    EXPECT_EQ(joined.set_of(Side::input, node(link, "U1", Side::input, Terminal::from)),
              joined.set_of(Side::input, back));
    EXPECT_NE(node(link, "U1", Side::input, Terminal::to), back);
    EXPECT_EQ(node(link, "U1", Side::output, Terminal::from), back);
    EXPECT_NE(node(link, "U1", Side::output, Terminal::to), back);
    EXPECT_EQ(node(link, "R2", Side::output, Terminal::to), signal());
    for (const Fault& fault : faults_) {
        EXPECT_EQ(fault.suspect.find("U1's"), std::string::npos) << fault.suspect;
    }
}

TEST_F(Misplaced, SupplyLeadOnTheOtherRailShortsIt) {
    take(solderless());
    Link link = with("the input supply's + lead stands in L-1, not in L+1");
    const JoinedInLink joined(good_, link, {});
    EXPECT_EQ(joined.set_of(Side::input, supply), joined.set_of(Side::input, back));
    const Node left = node(link, "R1", Side::input, Terminal::from);
    EXPECT_NE(joined.set_of(Side::input, left), joined.set_of(Side::input, supply));
}

TEST_F(Misplaced, PieceOfANodeWithAWiresEndGoesToTheOtherNode) {
    take(strip());
    // The coupler's collector on the return; pull-up and logic input keep the signal.
    Link link = with("the wire from H4 to H6 ends in H5, not in H6");
    EXPECT_EQ(node(link, "U1", Side::output, Terminal::from), back);
    EXPECT_EQ(node(link, "R2", Side::output, Terminal::to), signal());
    EXPECT_EQ(node(link, "L1", Side::output, Terminal::from), signal());
    EXPECT_NE(JoinedInLink(good_, link, {}).set_of(Side::output, signal()),
              JoinedInLink(good_, link, {}).set_of(Side::output, back));
}

TEST_F(Misplaced, NodesThatAWireJoinsAreShorted) {
    take(strip());
    // The greater piece, pull-up and logic input, is what the wire takes to the return.
    Link link = with("the wire from H4 to H6 ends in H5, not in H4");
    EXPECT_EQ(node(link, "R2", Side::output, Terminal::to), signal());
    EXPECT_EQ(JoinedInLink(good_, link, {}).set_of(Side::output, signal()),
              JoinedInLink(good_, link, {}).set_of(Side::output, back));
    const Node left = node(link, "U1", Side::output, Terminal::from);
    EXPECT_EQ(left, static_cast<Node>(good_.output.node_names.size()));
}

TEST_F(Misplaced, NodeFallsIntoPieces) {
    take(strip());
    Link link = with("the wire from H4 to H6 ends in H3, not in H4");
    EXPECT_EQ(node(link, "R2", Side::output, Terminal::to), signal());
    EXPECT_EQ(node(link, "L1", Side::output, Terminal::from), signal());
    EXPECT_EQ(node(link, "U1", Side::output, Terminal::from),
              static_cast<Node>(good_.output.node_names.size()));
}

TEST_F(Misplaced, ReturnLeadThatHangsLeavesItsSupplyAlone) {
    take(strip());
    Link link = with("the input supply's - lead stands in A6, not in A5");
    const Node left = node(link, "U1", Side::input, Terminal::to);
    EXPECT_NE(left, back);
    EXPECT_EQ(link.parts.back().description.nominal("value"), edits::no_connection);
    // And on its own row nothing is wrong.
    EXPECT_EQ(find("the input supply's - lead stands in B5, not in A5"), nullptr);
}

TEST_F(Misplaced, SidesAreBridged) {
    take(narrow_grid());
    const Fault* returns = find("the wire from D5 to A5 ends in E5, not in D5");
    ASSERT_TRUE(returns && returns->bridge);
    EXPECT_EQ(returns->bridge->input, back);
    EXPECT_EQ(returns->bridge->output, back);
    EXPECT_FALSE(returns->edit);  // bare, it still touches D5
    const Fault* inner = find("the wire from B4 to D4 ends in E4, not in D4");
    ASSERT_TRUE(inner && inner->bridge);
    EXPECT_EQ(inner->bridge->output, signal());
    EXPECT_EQ(inner->bridge->input, good_.parts[part("R1")].input->to);
}

TEST_F(Misplaced, BridgeIsAtTheNodeThatTheEditMakes) {
    PlanTable table = narrow_grid();
    table.wires[4].insulated = true;  // E4 to G4: its end is all that it touches
    take(table);
    const Fault* fault = find("the wire from E4 to G4 ends in D4, not in E4");
    ASSERT_TRUE(fault && fault->bridge);
    Link link = with(fault->suspect);
    // R2 is taken to the input side, off the signal that the coupler and the logic input keep.
    EXPECT_EQ(fault->bridge->output, node(link, "R2", Side::output, Terminal::to));
    EXPECT_NE(fault->bridge->output, signal());
    EXPECT_EQ(node(link, "L1", Side::output, Terminal::from), signal());
    EXPECT_EQ(fault->bridge->input, node(link, "U1", Side::input, Terminal::from));
}

TEST_F(Misplaced, FaultsGiveReadings) {
    for (const PlanTable& table : {solderless(), strip(), narrow_grid()}) {
        take(table);
        ASSERT_GT(faults_.size(), 5U);
        const auto dictionary = fault_dictionary(
            good_, {.specimens = 8, .good_specimens = 8, .engine = {.threads = 1}}, faults_);
        ASSERT_TRUE(dictionary);
        for (std::size_t f = 0; f < faults_.size(); ++f) {
            EXPECT_EQ(dictionary->readings[f].specimens, 8U) << faults_[f].suspect;
        }
    }
}

TEST_F(Misplaced, SameInputsGiveTheSameFaultsInTheSameOrder) {
    take(solderless());
    const auto again = misplaced_faults(good_, wiring_, plan_of(solderless(), wiring_));
    ASSERT_EQ(again.size(), faults_.size());
    for (std::size_t f = 0; f < again.size(); ++f) {
        EXPECT_EQ(again[f].suspect, faults_[f].suspect);
        EXPECT_EQ(again[f].weight, faults_[f].weight);
        EXPECT_GE(again[f].weight, 0.15);
    }
}

}  // namespace
}  // namespace gapwright
