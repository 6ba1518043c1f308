// Boards and couplers judged by the distances that a link asks for.
#include "build/insulation.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

constexpr double mm = 1e-3;
constexpr double exactly_so = 1e-12;  // m

// A link of the plain one with these surroundings and this [insulation].
Link link_with(const std::string& voltage, const std::string& insulation = {},
               const std::string& coupler = "{ card = \"four-pin-coupler-b\" }") {
    std::string text = with(plain_link(), "{ card = \"four-pin-coupler-b\" }", coupler);
    if (!voltage.empty()) text += "[surroundings]\nworking_voltage = \"" + voltage + "\"\n";
    auto link = link_from(text + insulation);
    EXPECT_TRUE(link) << to_text(link.error());
    return *link;
}

// The place of U1, both distances the same.
FoundDistances board(const Link& link, double between, double under) {
    return {.between_sides = between,
            .gaps = {{.part = *link.find_part("U1"), .air = under, .surface = under}}};
}

const InsulationFinding& finding(const InsulationVerdict& verdict, std::string_view id) {
    static const InsulationFinding none{.id = "none"};
    const auto found = std::ranges::find(verdict.findings, id, &InsulationFinding::id);
    EXPECT_NE(found, verdict.findings.end()) << "no finding " << id;
    return found == verdict.findings.end() ? none : *found;
}

bool has_caution(const InsulationVerdict& verdict, std::string_view id) {
    return std::ranges::find(verdict.cautions, id, &Caution::id) != verdict.cautions.end();
}

const char* const reinforced = "[insulation]\ngrade = \"reinforced\"\nmains = \"230 V\"\n";

TEST(JudgeInsulation, KeepsAnExtraLowVoltageLinkWithRoom) {
    const Link link = link_with("24 V");
    const auto verdict = judge_insulation(link, board(link, 2.54 * mm, 5.6 * mm));
    EXPECT_TRUE(verdict.kept());
    EXPECT_EQ(finding(verdict, "board-distance").text,
              "between the sides on the board: 2.54 mm, at least 0.496 mm asked along the board "
              "and in air: kept.");
    EXPECT_TRUE(has_caution(verdict, "local-codes"));
    EXPECT_TRUE(has_caution(verdict, "insulation-unstated"));
    EXPECT_FALSE(has_caution(verdict, "working-voltage-unstated"));
}

TEST(JudgeInsulation, KeepsAndBreaksByTheBoard) {
    const Link link = link_with("230 V", reinforced);
    const auto wide = judge_insulation(link, board(link, 5.0 * mm, 5.6 * mm));
    EXPECT_TRUE(wide.kept());
    EXPECT_TRUE(has_caution(wide, "local-codes")) << "kept or not";
    const auto narrow = judge_insulation(link, board(link, 2.54 * mm, 5.6 * mm));
    EXPECT_FALSE(narrow.kept());
    const auto& between = finding(narrow, "board-distance");
    EXPECT_FALSE(between.kept);
    EXPECT_NEAR(between.found, 2.54 * mm, exactly_so);
    EXPECT_NEAR(between.required, 5.0 * mm, exactly_so);
    EXPECT_TRUE(finding(narrow, "under-coupler-surface").kept);
}

// In air and along the surface apart: a slot under the coupler lengthens the one alone.
TEST(JudgeInsulation, TellsAirFromSurfaceUnderTheCoupler) {
    const Link link = link_with("230 V", reinforced);
    FoundDistances found = board(link, 6 * mm, 4 * mm);
    const auto plain = judge_insulation(link, found);
    EXPECT_TRUE(finding(plain, "under-coupler-air").kept);
    EXPECT_FALSE(finding(plain, "under-coupler-surface").kept);
    found.gaps[0].surface = 6 * mm;
    EXPECT_TRUE(judge_insulation(link, found).kept());
    found.gaps[0].air = 2.9 * mm;
    EXPECT_FALSE(finding(judge_insulation(link, found), "under-coupler-air").kept);
}

TEST(JudgeInsulation, KeepsWhatIsExactlyAsAsked) {
    const Link link = link_with("230 V", reinforced);
    EXPECT_TRUE(judge_insulation(link, board(link, 3 * mm + 2 * mm, 0.0025 * 2)).kept());
}

TEST(JudgeInsulation, JudgesTheCardOfTheCoupler) {
    struct Case {
        const char* id;
        const char* key;  // with the least that is kept, and a little less
        const char* kept;
        const char* broken;
    };
    const Case cases[] = {
        {"repetitive-peak", "repetitive_peak_voltage", "326 V", "325 V"},
        {"transient-peak", "transient_peak_voltage", "4 kV", "3.9 kV"},
        {"test-voltage", "isolation_test_voltage", "2.86 kV", "2.85 kV"},
        {"external-clearance", "external_clearance", "3 mm", "2.9 mm"},
        {"external-creepage", "external_creepage", "5 mm", "4.9 mm"},
        {"through-insulation", "distance_through_insulation", "0.4 mm", "0.3 mm"},
    };
    for (const auto& c : cases) {
        const auto judged = [&](const std::string& figure) {
            const Link link = link_with("230 V", reinforced,
                                        std::string("{ card = \"four-pin-coupler-b\", ") + c.key +
                                            " = \"" + figure + "\" }");
            return judge_insulation(link, board(link, 8 * mm, 8 * mm));
        };
        EXPECT_TRUE(judged(c.kept).kept()) << c.id;
        const auto broken = judged(c.broken);
        for (const auto& f : broken.findings) EXPECT_EQ(f.kept, f.id != c.id) << f.text;
    }
}

TEST(JudgeInsulation, TakesTheMaterialOfTheCouplersCase) {
    const Link link =
        link_with("230 V", reinforced, "{ card = \"four-pin-coupler-b\", material_group = \"I\" }");
    const auto verdict = judge_insulation(link, board(link, 8 * mm, 8 * mm));
    EXPECT_NEAR(finding(verdict, "external-creepage").required, 3.0 * mm, exactly_so)
        << "2.5 mm of group I, but for the clearance";
    EXPECT_NEAR(finding(verdict, "under-coupler-surface").required, 5.0 * mm, exactly_so);
}

// What nobody states is left out up to extra-low voltage, and broken above.
TEST(JudgeInsulation, CountsWhatNobodyStatesAsNothingAboveExtraLowVoltage) {
    const std::string bare =
        "{ kind = \"coupler\", forward = \"1.2 V at 10 mA\", ctr = \"130 % at 5 mA, 5 V\" }";
    const Link low = link_with("60 V", {}, bare);
    EXPECT_TRUE(judge_insulation(low, board(low, 3 * mm, 3 * mm)).kept());
    const Link high = link_with("61 V", {}, bare);
    const auto verdict = judge_insulation(high, board(high, 3 * mm, 3 * mm));
    EXPECT_FALSE(verdict.kept());
    const auto& creepage = finding(verdict, "external-creepage");
    EXPECT_FALSE(creepage.kept);
    EXPECT_EQ(creepage.found, 0);
    EXPECT_NE(creepage.text.find("not stated"), std::string::npos) << creepage.text;
    const Link rated = link_with("61 V");
    EXPECT_FALSE(finding(judge_insulation(rated, {}), "board-distance").kept) << "not measured";
}

TEST(JudgeInsulation, LetsASolderlessBoardCarryExtraLowVoltageOnly) {
    const FoundDistances found{.solderless = true, .between_sides = 20 * mm, .gaps = {}};
    const auto low = judge_insulation(link_with("60 V"), found);
    EXPECT_TRUE(low.kept());
    EXPECT_TRUE(finding(low, "solderless-board").kept);
    const auto high = judge_insulation(link_with("61 V"), found);
    EXPECT_FALSE(high.kept()) << "however far apart";
    const auto& board = finding(high, "solderless-board");
    EXPECT_EQ(board.found, 60);
    EXPECT_EQ(board.required, 61);
    EXPECT_NE(board.text.find("no rating at all"), std::string::npos) << board.text;
    const auto mains =
        judge_insulation(link_with("24 V", "[insulation]\nmains = \"48 V\"\n"), found);
    EXPECT_EQ(finding(mains, "solderless-board").found, 30) << "r.m.s.";
    EXPECT_FALSE(finding(mains, "solderless-board").kept);
}

TEST(JudgeInsulation, LetsAGapMadeByHandCarryExtraLowVoltageOnly) {
    const std::string pair =
        "{ kind = \"pair\", emitter = \"infrared-led\", receiver = \"infrared-receiver\", "
        "distance = \"50 mm\" }";
    const FoundDistances found{.between_sides = 40 * mm};
    EXPECT_TRUE(judge_insulation(link_with("60 V", {}, pair), found).kept());
    const auto high = judge_insulation(link_with("61 V", {}, pair), found);
    EXPECT_FALSE(high.kept());
    const auto& gap = finding(high, "home-made-gap");
    EXPECT_FALSE(gap.kept);
    EXPECT_NE(gap.text.find("U1 is a gap made by hand"), std::string::npos) << gap.text;
    EXPECT_TRUE(finding(high, "board-distance").kept) << "the board alone has room";
}

TEST(JudgeInsulation, BreaksWhatTheTablesDoNotCover) {
    const Link link = link_with("5 kV");
    const auto verdict = judge_insulation(link, board(link, 1, 1));
    EXPECT_FALSE(verdict.kept());
    EXPECT_FALSE(verdict.required);
    ASSERT_EQ(verdict.findings.size(), 1U);
    EXPECT_EQ(verdict.findings.front().id, "beyond-tables");
    EXPECT_TRUE(has_caution(verdict, "local-codes"));
}

TEST(JudgeInsulation, CautionsAboutWhatItAssumesAndLeavesOut) {
    const auto plain = judge_insulation(link_with({}), {.between_sides = 5 * mm});
    EXPECT_TRUE(has_caution(plain, "working-voltage-unstated"));
    EXPECT_FALSE(has_caution(plain, "outside-tables"));
    const auto mains =
        judge_insulation(link_with("700 V",
                                   "[insulation]\nmains = \"400 V\"\npollution_degree = 3\n"
                                   "material_group = \"IIIb\"\n"),
                         {.between_sides = 5 * mm});
    EXPECT_TRUE(has_caution(mains, "outside-tables"));
    EXPECT_TRUE(has_caution(mains, "material-group"));
    EXPECT_FALSE(has_caution(mains, "insulation-unstated"));
}

// A word that would promise what no table can.
TEST(JudgeInsulation, NeverSaysThatAnythingIsSafe) {
    for (const char* voltage : {"24 V", "230 V", "5 kV"}) {
        const Link link = link_with(voltage, reinforced);
        const auto verdict = judge_insulation(link, board(link, 8 * mm, 8 * mm));
        std::string all;
        for (const auto& f : verdict.findings) all += f.text;
        for (const auto& c : verdict.cautions) all += c.text;
        if (verdict.required) {
            for (const auto& s : verdict.required->steps) all += s;
        }
        EXPECT_EQ(all.find("safe"), std::string::npos) << all;
        EXPECT_NE(all.find("licensed practice"), std::string::npos);
    }
}

}  // namespace
}  // namespace gapwright
