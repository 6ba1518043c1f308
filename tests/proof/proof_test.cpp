// Worst cases, ratings, verdicts, cautions.
#include "proof/proof.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "proof/limits/ratings.hpp"
#include "proof/prove.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

Proof prove_text(const std::string& text, ProofOptions options = {}) {
    const auto link = link_from(text);
    EXPECT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    EXPECT_TRUE(circuit) << to_text(circuit.error());
    options.samples = std::min<std::size_t>(options.samples, 2000);
    auto proof = prove(*link, *circuit, options);
    EXPECT_TRUE(proof) << proof.error().message;
    return std::move(*proof);
}

bool has_caution(const Proof& proof, std::string_view id) {
    return std::ranges::any_of(proof.cautions, [&](const Caution& c) { return c.id == id; });
}

const RatingResult& rating(const Proof& proof, std::string_view part, std::string_view limit,
                           std::string_view state) {
    const auto found = std::ranges::find_if(proof.ratings, [&](const RatingResult& r) {
        return r.part == part && key_name(r.limit) == limit && r.state == state;
    });
    EXPECT_NE(found, proof.ratings.end()) << part << " " << limit << " " << state;
    return *found;
}

// A divider on the output side whose extremes are known in closed form.
std::string divider(const std::string& promise) {
    return R"([input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "10 V ± 10 %"
paths = ["supply > R2 > x > R3 > return", "supply > R4 > y", "y > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "1 kΩ ± 5 %" }
R3 = { kind = "resistor", value = "1 kΩ ± 5 %" }
R4 = { kind = "resistor", value = "1 kΩ" }
[[promise]]
state = "on"
voltage = "x"
)" + promise;
}

TEST(WorstCase, DividerExtremesAreTheCorners) {
    const auto proof = prove_text(divider("at_least = \"4 V\"\nat_most = \"6 V\"\n"));
    const auto& p = proof.promises.at(0);
    EXPECT_NEAR(p.nominal, 5.0, 1e-9);
    EXPECT_NEAR(p.lowest, 9.0 * 950 / (950 + 1050), 1e-9);
    EXPECT_NEAR(p.highest, 11.0 * 1050 / (950 + 1050), 1e-9);
    const auto& c = p.lowest_case;
    ASSERT_EQ(c.size(), 3U);  // the coupler's spread moves nothing here
    const auto value = [&](std::string_view name) {
        return std::ranges::find(c, name, &CaseFigure::name)->value;
    };
    EXPECT_NEAR(value("R2.value"), 1050, 1e-9);
    EXPECT_NEAR(value("R3.value"), 950, 1e-9);
    EXPECT_NEAR(value("output.supply.voltage"), 9, 1e-9);
}

TEST(WorstCase, LiesNoBetterThanAnySpecimen) {
    // More spreads than all corners can be tried for: the guided search must still be at least as
    // bad as thousands of draws (the result is widened by them, so compare with a small sample).
    const std::string text =
        with(plain_link(), "[input]", "[surroundings]\ntemperature = \"-20 .. 60 °C\"\n[input]");
    const auto small = prove_text(text, {.samples = 10});
    const auto large = prove_text(text, {.samples = 2000, .seed = 77});
    EXPECT_NEAR(small.promises[0].highest, large.promises[0].highest,
                1e-9 * std::abs(large.promises[0].highest));
    EXPECT_NEAR(small.promises[0].lowest, large.promises[0].lowest,
                1e-9 * std::abs(large.promises[0].lowest));
}

// The power in a load behind a source resistance is greatest in the middle of the load's range, not
// at a corner: the search must look inside.
TEST(WorstCase, ExtremeInsideTheBoxIsFound) {
    const std::string text = with(divider("at_least = \"0 V\"\n"),
                                  "R3 = { kind = \"resistor\", "
                                  "value = \"1 kΩ ± 5 %\" }",
                                  "R3 = { kind = \"resistor\", value = \"1.2 kΩ (300 .. 3000 Ω)\" "
                                  "}") +
                             "[[promise]]\nstate = \"on\"\npower = \"R3\"\nat_most = \"1 W\"\n";
    const auto proof = prove_text(text, {.samples = 1});
    const double by_hand = 11.0 * 11.0 / (4 * 950);  // matched: R3 = R2 = 950 Ω
    EXPECT_NEAR(proof.promises.at(1).highest / by_hand, 1.0, 1e-3);
}

// A clamp that does not conduct at the nominal supply has no influence there; at the supply's upper
// end it decides. The worst of a wider range is never better than that of a narrower one.
TEST(WorstCase, WhatMattersOnlyFarFromTheNominalIsFound) {
    const auto clamp = [](const std::string& supply) {
        return R"([input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = ")" + supply +
               R"("
paths = ["supply > R2 > x", "return > Z1 > x", "x > R3 > return", "supply > R4 > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "1 kΩ ± 5 %" }
R3 = { kind = "resistor", value = "1 MΩ ± 5 %" }
R4 = { kind = "resistor", value = "1 kΩ" }
Z1 = { kind = "zener", zener_voltage = "12 V ± 8 %" }
[[promise]]
state = "on"
voltage = "x"
at_most = "20 V"
)";
    };
    const auto narrow = prove_text(clamp("15 V"), {.samples = 100});
    const auto wide = prove_text(clamp("4 .. 15 V"), {.samples = 100});
    EXPECT_GE(wide.promises[0].highest, narrow.promises[0].highest * (1 - 1e-9));
    const auto& c = wide.promises[0].highest_case;
    EXPECT_NE(std::ranges::find(c, "Z1.zener_voltage", &CaseFigure::name), c.end());
}

// A card's transfer ratio is what a specimen has at the card's own condition.
TEST(WorstCase, ShippedCouplersStayInsideTheirStatedTransferRatio) {
    const auto proof = prove_text(R"([input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "760 Ω" }
U1 = { card = "four-pin-coupler-b", forward = "1.2 V at 5 mA", collector_resistance = "4 Ω" }
[[promise]]
state = "on"
current = "U1.receiver"
at_least = "1 mA"
)");
    EXPECT_NEAR(proof.promises[0].lowest, 0.9 * 5e-3, 1e-6);
    EXPECT_NEAR(proof.promises[0].highest, 1.8 * 5e-3, 1e-6);
}

TEST(Verdict, KeptThinBroken) {
    EXPECT_EQ(judge(11, 10, Sense::at_least, 0.1), Verdict::kept);
    EXPECT_EQ(judge(10.9, 10, Sense::at_least, 0.1), Verdict::thin);
    EXPECT_EQ(judge(9.99, 10, Sense::at_least, 0.1), Verdict::broken);
    EXPECT_EQ(judge(9, 10, Sense::at_most, 0.1), Verdict::kept);
    EXPECT_EQ(judge(9.5, 10, Sense::at_most, 0.1), Verdict::thin);
    EXPECT_EQ(judge(10.5, 10, Sense::at_most, 0.1), Verdict::broken);
    EXPECT_EQ(judge(0, 0, Sense::at_most, 0.1), Verdict::kept);
    EXPECT_EQ(judge(-9.5, -10, Sense::at_least, 0.1), Verdict::thin);
    EXPECT_EQ(judge(std::nan(""), 10, Sense::at_most, 0.1), Verdict::broken);
}

TEST(Verdict, FollowsThePromise) {
    EXPECT_EQ(prove_text(divider("at_least = \"3.8 V\"\n")).promises[0].verdict, Verdict::kept);
    EXPECT_EQ(prove_text(divider("at_least = \"4 V\"\n")).promises[0].verdict, Verdict::thin);
    EXPECT_EQ(prove_text(divider("at_least = \"5 V\"\n")).promises[0].verdict, Verdict::broken);
    EXPECT_EQ(prove_text(divider("at_least = \"4 V\"\nreserve = \"2 %\"\n")).promises[0].verdict,
              Verdict::kept);
    const auto broken = prove_text(divider("at_least = \"5 V\"\n"));
    EXPECT_NEAR(broken.promises[0].share_kept(), 0.5, 0.05);
    EXPECT_LT(broken.promises[0].share_kept_low95, broken.promises[0].share_kept());
    EXPECT_EQ(broken.verdict, Verdict::broken);
}

// IEC 60115 practice: full power to 70 °C, falling linearly to nothing at 155 °C.
TEST(Ratings, ResistorPowerIsDerated) {
    const std::string text =
        with(plain_link(), "[input]", "[surroundings]\ntemperature = \"25 .. 112.5 °C\"\n[input]");
    const auto proof = prove_text(text);
    const auto& power = rating(proof, "R1", "power", "on");
    EXPECT_EQ(power.rated, 0.25);
    EXPECT_NEAR(power.bound, 0.125, 1e-9);
    EXPECT_NEAR(Derating({343.15, 428.15}).share(343.15), 1, 1e-12);
    EXPECT_NEAR(Derating({343.15, 428.15}).share(428.15), 0, 1e-12);
}

TEST(Ratings, ReverseVoltageOnAnEmitterIsFound) {
    // The supply the wrong way round through a second path: need 20 of the bench.
    const std::string text =
        with(with(plain_link(), "supply > S1 > R1 > U1 > return", "return > R1 > U1 > S1 > supply"),
             "at_most = \"0.8 V\"", "at_most = \"6 V\"");
    const auto proof = prove_text(text);
    EXPECT_EQ(rating(proof, "U1", "reverse_voltage", "on").verdict, Verdict::broken);
    EXPECT_NEAR(rating(proof, "U1", "reverse_voltage", "on").nominal, 9.0, 0.1);
    EXPECT_TRUE(has_caution(proof, "never-lit"));
}

TEST(Ratings, LogicLevelBetweenIsBroken) {
    const auto proof = prove_text(with(plain_link(), "10 kΩ ± 5 %", "500 Ω ± 5 %"));
    const auto level = std::ranges::find_if(proof.ratings, [](const RatingResult& r) {
        return r.part == "L1" && r.state == "on" && r.limit != Key::voltage;
    });
    ASSERT_NE(level, proof.ratings.end());
    EXPECT_EQ(level->verdict, Verdict::broken);
}

// A coil has no polarity: the other way round it is pulled in by the same voltage.
TEST(Ratings, ACoilEitherWayRoundIsPulledIn) {
    for (const char* path :
         {"supply > K1 > coil > Q1 > return", "coil > K1 > supply\", \"coil > Q1 > return"}) {
        const auto proof = prove_text(std::string(R"([input]
supply = "5 V"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "12 V"
paths = ["supply > R2 > U1 > Q1.base", "Q1.base > R3 > return", "coil > D1 > supply", ")") +
                                      path + R"("]
[parts]
P1 = { card = "logic-output-5v" }
R1 = { kind = "resistor", value = "330 Ω" }
R2 = { kind = "resistor", value = "4.7 kΩ" }
R3 = { kind = "resistor", value = "10 kΩ" }
U1 = { card = "four-pin-coupler-b" }
Q1 = { card = "npn-medium" }
K1 = { card = "relay-coil-12v" }
D1 = { card = "rectifier-diode" }
[states]
on = { P1 = "high" }
off = { P1 = "low" }
)");
        EXPECT_EQ(rating(proof, "K1", "pull_in", "on").verdict, Verdict::kept) << path;
        EXPECT_GT(rating(proof, "K1", "pull_in", "on").lowest, 11) << path;
        EXPECT_EQ(rating(proof, "K1", "drop_out", "off").verdict, Verdict::kept) << path;
        EXPECT_FALSE(has_caution(proof, "no-flyback")) << path;
    }
}

TEST(Levels, CollectorLoadInvertsAndEmitterLoadFollows) {
    const auto inverted = prove_text(plain_link());
    using States = std::vector<std::pair<std::string, std::string>>;
    EXPECT_EQ(inverted.levels.at(0).by_state, (States{{"on", "low"}, {"off", "high"}}));
    const auto follower =
        prove_text(with(plain_link(), "supply > R2 > signal\", \"signal > U1 > return",
                        "supply > U1 > signal\", \"signal > R2 > return"));
    EXPECT_EQ(follower.levels.at(0).by_state, (States{{"on", "high"}, {"off", "low"}}));
}

TEST(Life, AFadedEmitterGivesLess) {
    const std::string fresh = with(plain_link(), "voltage = \"signal\"\nat_most = \"0.8 V\"",
                                   "current = \"U1.receiver\"\nat_least = \"0.1 mA\"");
    const std::string small = with(fresh, "10 kΩ ± 5 %", "100 Ω");
    const auto young = prove_text(small);
    const auto old =
        prove_text(with(small, "[input]", "[surroundings]\nservice = \"20 years\"\n[input]"));
    EXPECT_LT(old.promises[0].lowest, 0.95 * young.promises[0].lowest);
    EXPECT_NEAR(old.promises[0].highest, young.promises[0].highest,
                1e-9 * young.promises[0].highest);
    const auto& c = old.promises[0].lowest_case;
    EXPECT_GT(std::ranges::find(c, "age", &CaseFigure::name)->value, 6e8);
}

TEST(Proof, SameSeedSameNumbersOnAnyThreads) {
    ProofOptions one;
    one.engine.threads = 1;
    ProofOptions three;
    three.engine.threads = 3;
    const auto a = prove_text(plain_link(), one);
    const auto b = prove_text(plain_link(), three);
    EXPECT_EQ(a.promises[0].lowest, b.promises[0].lowest);
    EXPECT_EQ(a.promises[0].highest, b.promises[0].highest);
    EXPECT_EQ(a.promises[0].kept, b.promises[0].kept);
}

TEST(Proof, StopIsNoVerdict) {
    const auto link = link_from(plain_link());
    const auto circuit = build_circuit(*link);
    std::stop_source stop;
    stop.request_stop();
    ProofOptions options;
    options.engine.stop = stop.get_token();
    const auto proof = prove(*link, *circuit, options);
    ASSERT_FALSE(proof);
    EXPECT_TRUE(proof.error().stopped);
}

// A promise about a change is judged by its delay, in all specimens that are drawn.
TEST(Proof, APromiseAboutAChangeIsJudged) {
    const auto proof = prove_text(
        plain_link() +
        "[[promise]]\nchange = [\"off\", \"on\"]\nvoltage = \"signal\"\nreaches = \"1 V\"\n"
        "within = \"1 ms\"\n");
    const auto& p = proof.promises.at(1);
    EXPECT_EQ(p.state, "off > on");
    EXPECT_EQ(p.dimension, Dimension::time);
    EXPECT_EQ(p.verdict, Verdict::kept);
    EXPECT_GT(p.nominal, 0);
    EXPECT_LT(p.highest, 1e-3);
    EXPECT_EQ(p.samples, 2000U);
    EXPECT_EQ(proof.timed_samples, 2000U);
}

struct CautionCase {
    const char* id;
    const char* from;
    const char* to;
};
TEST(Cautions, StandWhereTheyAreDue) {
    const CautionCase cases[] = {
        {"extra-low-voltage", "supply = \"9 V\"", "supply = \"90 V\""},
        {"working-voltage-unstated", "Plain", "Same"},
        {"solderless-board", "Plain", "Same"},
        {"home-made-gap", "card = \"four-pin-coupler-b\"",
         "kind = \"pair\", emitter = \"infrared-led\", receiver = \"infrared-receiver\", distance "
         "= \"12 mm\""},
        {"near-field", "card = \"four-pin-coupler-b\"",
         "kind = \"pair\", emitter = \"infrared-led\", receiver = \"infrared-receiver\", distance "
         "= \"5 mm\""},
        {"insulation-exceeded", "[input]", "[surroundings]\nworking_voltage = \"800 V\"\n[input]"},
        {"no-insulation-rating", "supply = \"9 V\"\npaths", "supply = \"90 V\"\npaths"},
        {"test-current", "value = \"1 kΩ ± 5 %\"", "value = \"10 kΩ ± 5 %\""},
        {"part-way", "10 kΩ ± 5 %", "330 Ω ± 5 %"},
        {"no-pull-up", "supply > R2 > signal", "supply > R2 > return"},
        {"wrong-way-round", "signal > U1 > return", "return > U1 > signal"},
        {"no-flyback", "R2 = { kind = \"resistor\", value = \"10 kΩ ± 5 %\" }",
         "R2 = { kind = \"coil\", resistance = \"10 kΩ\", inductance = \"1 H\" }"},
        {"life-exponents", "[input]", "[surroundings]\nservice = \"5 years\"\n[input]"},
        {"setting-assumed", "off = { S1 = \"open\" }", "off = {}"},
    };
    for (const auto& c : cases) {
        std::string text = with(plain_link(), c.from, c.to);
        if (std::string_view(c.id) == "no-insulation-rating") {
            text = with(text, "card = \"four-pin-coupler-b\"",
                        "kind = \"coupler\", forward = \"1.2 V at 10 mA\"");
        }
        EXPECT_TRUE(has_caution(prove_text(text, {.nominal_only = true}), c.id)) << c.id;
    }
    const auto quiet = prove_text(
        with(plain_link(), "[input]", "[surroundings]\nworking_voltage = \"9 V\"\n[input]"));
    for (const auto* id : {"extra-low-voltage", "working-voltage-unstated", "home-made-gap",
                           "never-lit", "part-way", "no-pull-up", "insulation-exceeded"}) {
        EXPECT_FALSE(has_caution(quiet, id)) << id;
    }
}

TEST(Cautions, NeverSaySafe) {
    const auto proof = prove_text(with(plain_link(), "supply = \"9 V\"", "supply = \"90 V\""));
    for (const auto& c : proof.cautions) {
        EXPECT_EQ(c.text.find("safe"), std::string::npos) << c.text;
    }
}

}  // namespace
}  // namespace gapwright
