// The list of faults and what words are taken for them.
#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "reference/second_bench/session_table.hpp"
#include "support/how_many.hpp"

namespace gapwright::reference {
namespace {

std::vector<Link> all_links() {
    std::vector<Link> links;
    for (const auto& path : bench_links(PROJECT_FOLDER)) {
        auto read = read_link_file(path);
        if (!read) throw std::runtime_error(to_text(read.error()));
        links.push_back(std::move(*read));
    }
    return links;
}

Link bell_hammer() {
    auto read = read_link_file(PROJECT_FOLDER "/examples/clock-tower/bell-hammer.link.toml");
    if (!read) throw std::runtime_error(to_text(read.error()));
    return std::move(*read);
}

TEST(SecondFaults, AreOfSixtyKindsAndMore) {
    std::set<FaultKind> kinds;
    std::size_t faults = 0;
    for (const auto& link : all_links()) {
        for (const std::uint64_t seed : {3U, 4U, 5U}) {  // (which value goes where is drawn)
            Dice dice(seed);
            for (const auto& fault : second_faults(link, dice)) {
                kinds.insert(fault.kind);
                if (seed == 3) ++faults;
            }
        }
    }
    EXPECT_EQ(kinds.size(), fault_kinds);  // each is some link's
    EXPECT_GE(kinds.size(), 60U);
    EXPECT_GE(faults, 800U);
}

TEST(SecondFaults, AFifthIsAcrossTheGap) {
    const Link link = bell_hammer();
    Dice dice(4);
    const auto faults = second_faults(link, dice);
    int across = 0;
    for (int k = 0; k < 1000; ++k) {
        across += group_of(drawn_fault(faults, dice).kind) == FaultGroup::across;
    }
    EXPECT_GE(across, 200);
    EXPECT_LE(across, 330);
}

// Good links keep their promises here too, and every fault can be read everywhere.
TEST(SecondFaults, CanAllBeRead) {
    const auto links = all_links();
    const std::size_t every = testing_support::how_many<std::size_t>(23, 1);
    for (const auto& link : links) {
        const auto measurements = measurements_of(link);
        SecondBench good(link, 5);
        for (const bool kept : good.kept()) EXPECT_TRUE(kept) << link.title;
        Dice dice(5);
        const auto faults = second_faults(link, dice);
        for (std::size_t f = 0; f < faults.size(); f += every) {
            SecondBench bench(link, f, &faults[f]);
            for (const auto& m : measurements) {
                ASSERT_FALSE(std::isnan(bench.read(m))) << link.title << faults[f].words;
            }
        }
    }
}

class Words : public testing::Test {
  protected:
    // The first fault of that kind and part whose joint, if any, is in that lead.
    SecondFault fault(FaultKind kind, const std::string& part, const std::string& lead = "") {
        Dice dice(6);
        for (auto& one : second_faults(link, dice)) {
            if (one.kind != kind || one.parts.empty() || one.parts[0] != part) continue;
            if (!lead.empty() &&
                naming.board().parts[*one.on_board].holes[*one.hole].lead != lead) {
                continue;
            }
            return one;
        }
        throw std::logic_error("no such fault");
    }
    Match match(const std::string& text, const SecondFault& fault) {
        return naming.names(text, fault);
    }

    Link link = bell_hammer();
    Naming naming{link};
};

TEST_F(Words, OfAnOpenJointAreThoseOfItsWire) {
    const auto joint = fault(FaultKind::open_joint, "U1", "anode");
    EXPECT_EQ(match("U1.emitter is open", joint), Match::whole);
    EXPECT_EQ(match("R1 is open", joint), Match::whole);  // the other pin of that wire
    EXPECT_EQ(match("P1 is open", joint), Match::none);
    EXPECT_EQ(match("U1.emitter is shorted", joint), Match::place);
    EXPECT_EQ(match("R2 is open", joint), Match::none);
    const auto base = fault(FaultKind::open_joint, "Q1", "base");
    EXPECT_EQ(match("Q1.base is open", base), Match::whole);
    EXPECT_EQ(match("Q1.collector is open", base), Match::place);
    EXPECT_EQ(match("R3 is open", base), Match::none);  // three pins meet there
}

TEST_F(Words, OfAResistorTellItsValue) {
    const auto ten = fault(FaultKind::resistor_ten_times, "R3");
    EXPECT_EQ(match("R3 has another value", ten), Match::whole);
    EXPECT_EQ(match("R3 reads as about 98 kΩ instead of 10 kΩ", ten), Match::whole);
    EXPECT_EQ(match("R3 reads as about 970 Ω instead of 10 kΩ", ten), Match::place);
    EXPECT_EQ(match("R2 reads as about 98 kΩ instead of 10 kΩ", ten), Match::none);
    EXPECT_EQ(match("R3 is open", ten), Match::place);
    EXPECT_EQ(match("R3 reads as about 98 kΩ instead of 10 kΩ, and R2 is open", ten), Match::place);
}

TEST_F(Words, OfABridgeTellBothNodes) {
    const auto pins = fault(FaultKind::bridged_pins, "K1");
    EXPECT_EQ(match("K1 is bridged", pins), Match::whole);
    EXPECT_EQ(match("D1 is shorted", pins), Match::whole);  // between the same two nodes
    EXPECT_EQ(match("output.supply and coil are joined", pins), Match::whole);
    EXPECT_EQ(match("output.return and coil are joined", pins), Match::none);
    EXPECT_EQ(match("K1 is open", pins), Match::place);
    const auto shorted = fault(FaultKind::transistor_shorted, "Q1");
    EXPECT_EQ(match("Q1 is shorted from collector to emitter", shorted), Match::whole);
    EXPECT_EQ(match("Q1 is shorted from base to emitter", shorted), Match::place);
}

TEST_F(Words, OfPartsTheWrongWayRound) {
    const auto turned = fault(FaultKind::collector_emitter_exchanged, "Q1");
    EXPECT_EQ(match("Q1 has collector and emitter exchanged", turned), Match::whole);
    EXPECT_EQ(match("Q1 has base and emitter exchanged", turned), Match::place);
    const auto emitter = fault(FaultKind::emitter_reversed, "U1");
    EXPECT_EQ(match("U1.emitter is the wrong way round", emitter), Match::whole);
    EXPECT_EQ(match("U1 is turned round", emitter), Match::place);
    const auto supply = fault(FaultKind::supply_reversed, "input supply");
    EXPECT_EQ(match("the input supply is the wrong way round", supply), Match::whole);
    EXPECT_EQ(match("the input supply is missing", supply), Match::place);
    EXPECT_EQ(match("the output supply is the wrong way round", supply), Match::none);
}

TEST_F(Words, OfFiguresAreTakenAsTheyStand) {
    EXPECT_DOUBLE_EQ(amount_in("R3 reads as about 97 Ω instead of 10 kΩ").value(), 97);
    EXPECT_DOUBLE_EQ(amount_in("a joint of about 4.7 MΩ").value(), 4.7e6);
    EXPECT_NEAR(amount_in("D1 drops about 320 mV instead of 900 mV").value(), 0.32, 1e-12);
    EXPECT_DOUBLE_EQ(amount_in("of about 97 Ω instead of 10 kΩ", "instead of").value(), 1e4);
    EXPECT_FALSE(amount_in("R3 is open"));
    const auto low = claims_of("the output supply gives about 5.5 V instead of 12 V");
    EXPECT_EQ(low.front().word, "low");
    const auto none = claims_of("the input supply gives about 2 mV instead of 24 V");
    EXPECT_EQ(none.front().word, "missing");
    EXPECT_TRUE(Naming::understands("U1 transfers about 27 % of what it should"));
    EXPECT_FALSE(Naming::understands("the moon is full"));
}

TEST_F(Words, MeanFaultsOfThisBench) {
    EXPECT_GE(naming.meanings("R1 is open").size(), 3U);  // itself and two joints
    EXPECT_TRUE(naming.meanings("the moon is full").empty());
    for (const auto& meaning : naming.meanings("R3 reads as about 100 kΩ instead of 10 kΩ")) {
        EXPECT_EQ(meaning.parts[0], "R3") << meaning.words;
    }
}

}  // namespace
}  // namespace gapwright::reference
