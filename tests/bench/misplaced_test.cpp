// Faults of pins and wires' ends in neighbouring holes, each kind of consequence by hand.
#include "bench/faults/misplaced.hpp"
#include "bench/faults/link_edits.hpp"

#include <gtest/gtest.h>

#include "bench/hand_links.hpp"
#include "bench/joined_in_link.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "board/read_back.hpp"
#include "build/wiring_of_link.hpp"
#include "card/key.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using edits::Pin;
using edits::Terminal;
using testing_support::JoinedInLink;
using testing_support::least_on_narrow_grid;
using testing_support::least_on_solderless;
using testing_support::least_on_strip;

constexpr Node supply = static_cast<Node>(1);
constexpr Node back = Node::side_return;

class Misplaced : public ::testing::Test {
  protected:
    void take(const PlanTable& table) {
        auto read = testing_support::link_from(testing_support::least_text);
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
    take(least_on_solderless());
    Link link = with("R1's lead stands in b5, not in b6");
    const Node hangs = node(link, "R1", Side::input, Terminal::from);
    EXPECT_EQ(hangs, static_cast<Node>(good_.input.node_names.size()));
    const Part& tie = link.parts.back();
    EXPECT_EQ(tie.description.nominal(Key::value), edits::no_connection);
    EXPECT_EQ(tie.input->from, hangs);
    EXPECT_EQ(tie.input->to, supply);
    EXPECT_EQ(link.parts.size(), good_.parts.size() + 1);
    // So do the row below, and the end of the wire to a6 in either: one fault.
    EXPECT_EQ(find("R1's lead stands in b7, not in b6"), nullptr);
    EXPECT_NEAR(find("R1's lead stands in b5, not in b6")->weight, 4 * 0.15, 1e-12);
    EXPECT_EQ(find("R1's lead stands in b5, not in b6")->parts, std::vector{part("R1")});
}

TEST_F(Misplaced, PinInAnotherNodesRowIsJoinedToIt) {
    take(least_on_solderless());
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
    take(least_on_solderless());
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
    take(least_on_solderless());
    Link link = with("the input supply's + lead stands in L-1, not in L+1");
    const JoinedInLink joined(good_, link, {});
    EXPECT_EQ(joined.set_of(Side::input, supply), joined.set_of(Side::input, back));
    const Node left = node(link, "R1", Side::input, Terminal::from);
    EXPECT_NE(joined.set_of(Side::input, left), joined.set_of(Side::input, supply));
}

TEST_F(Misplaced, PieceOfANodeWithAWiresEndGoesToTheOtherNode) {
    take(least_on_strip());
    // The coupler's collector on the return; pull-up and logic input keep the signal.
    Link link = with("the wire from H4 to H6 ends in H5, not in H6");
    EXPECT_EQ(node(link, "U1", Side::output, Terminal::from), back);
    EXPECT_EQ(node(link, "R2", Side::output, Terminal::to), signal());
    EXPECT_EQ(node(link, "L1", Side::output, Terminal::from), signal());
    EXPECT_NE(JoinedInLink(good_, link, {}).set_of(Side::output, signal()),
              JoinedInLink(good_, link, {}).set_of(Side::output, back));
}

TEST_F(Misplaced, NodesThatAWireJoinsAreShorted) {
    take(least_on_strip());
    // The greater piece, pull-up and logic input, is what the wire takes to the return.
    Link link = with("the wire from H4 to H6 ends in H5, not in H4");
    EXPECT_EQ(node(link, "R2", Side::output, Terminal::to), signal());
    EXPECT_EQ(JoinedInLink(good_, link, {}).set_of(Side::output, signal()),
              JoinedInLink(good_, link, {}).set_of(Side::output, back));
    const Node left = node(link, "U1", Side::output, Terminal::from);
    EXPECT_EQ(left, static_cast<Node>(good_.output.node_names.size()));
}

TEST_F(Misplaced, NodeFallsIntoPieces) {
    take(least_on_strip());
    Link link = with("the wire from H4 to H6 ends in H3, not in H4");
    EXPECT_EQ(node(link, "R2", Side::output, Terminal::to), signal());
    EXPECT_EQ(node(link, "L1", Side::output, Terminal::from), signal());
    EXPECT_EQ(node(link, "U1", Side::output, Terminal::from),
              static_cast<Node>(good_.output.node_names.size()));
}

TEST_F(Misplaced, ReturnLeadThatHangsLeavesItsSupplyAlone) {
    take(least_on_strip());
    Link link = with("the input supply's - lead stands in A6, not in A5");
    const Node left = node(link, "U1", Side::input, Terminal::to);
    EXPECT_NE(left, back);
    EXPECT_EQ(link.parts.back().description.nominal(Key::value), edits::no_connection);
    // And on its own row nothing is wrong.
    EXPECT_EQ(find("the input supply's - lead stands in B5, not in A5"), nullptr);
}

TEST_F(Misplaced, SidesAreBridged) {
    take(least_on_narrow_grid());
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
    PlanTable table = least_on_narrow_grid();
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
    for (const PlanTable& table :
         {least_on_solderless(), least_on_strip(), least_on_narrow_grid()}) {
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
    take(least_on_solderless());
    const auto again = misplaced_faults(good_, wiring_, plan_of(least_on_solderless(), wiring_));
    ASSERT_EQ(again.size(), faults_.size());
    for (std::size_t f = 0; f < again.size(); ++f) {
        EXPECT_EQ(again[f].suspect, faults_[f].suspect);
        EXPECT_EQ(again[f].weight, faults_[f].weight);
        EXPECT_GE(again[f].weight, 0.15);
    }
}

}  // namespace
}  // namespace gapwright
