// How far every spread may be widened, against dividers that are solved by hand.
#include <cmath>
#include <vector>

#include "card/key.hpp"
#include "proof/stretch_by_hand.hpp"

namespace gapwright {
namespace {

using testing_support::with;

// A divider of the output side, x = V·R3/(R2 + R3). Nothing else reaches x.
std::string divider(const std::string& promise, const std::string& surroundings = "") {
    return R"([surroundings]
)" + surroundings +
           R"(
[input]
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

// R2 and R3 are nominally alike and add up to 2 kΩ where one lies high and the other low:
// x = 5 V·(1 ± 0.1 k)·(1 ± 0.05 k). The k at which that is `share` of 5 V is a root of
// 0.005 k² ± 0.15 k + 1 − share.
double divider_low(double share) {
    return (0.15 - std::sqrt(0.15 * 0.15 - 4 * 0.005 * (1 - share))) / (2 * 0.005);
}
double divider_high(double share) {
    return (-0.15 + std::sqrt(0.15 * 0.15 + 4 * 0.005 * (share - 1))) / (2 * 0.005);
}

struct DividerRow {
    std::string promise;
    double by_hand;
    bool broken;
};

TEST(Stretch, OfADividerIsTheRootOfItsQuadratic) {
    const std::vector<DividerRow> rows{
        {"at_least = \"4 V\"\n", divider_low(0.8), false},                         // 1.399
        {"at_most = \"6 V\"\n", divider_high(1.2), false},                         // 1.279
        {"at_least = \"4 V\"\nat_most = \"6 V\"\n", divider_high(1.2), false},     // the lesser
        {"at_least = \"4 V\"\nat_most = \"7 V\"\n", divider_low(0.8), false},      // the other
        {"at_least = \"3.2 V\"\n", divider_low(0.64), false},                      // 2.63
        {"at_least = \"4.5 V\"\n", divider_low(0.9), true},                        // 0.682
        {"at_most = \"5.05 V\"\n", divider_high(1.01), true},                      // 0.0665
        {"at_least = \"4.9 V\"\nat_most = \"5.5 V\"\n", divider_low(0.98), true},  // 0.134
        {"at_least = \"5.1 V\"\n", 0, true},
        {"at_most = \"4 V\"\n", 0, true},
        {"at_least = \"1 V\"\n", widest_stretch, false},  // 2.975 V at 3
        {"at_most = \"9 V\"\n", widest_stretch, false},   // 7.475 V at 3
    };
    for (const auto& row : rows) {
        const auto proof = stretched_proof(divider(row.promise));
        const auto& p = proof.promises.at(0);
        expect_stretch(p.stretch, row.by_hand, row.promise);
        EXPECT_EQ(p.verdict == Verdict::broken, row.broken) << row.promise;
    }
}

TEST(Stretch, TellsTheFigureThatMovesMost) {
    const auto proof = stretched_proof(divider("at_least = \"4 V\"\n"));
    ASSERT_TRUE(proof.promises.at(0).stretch);
    EXPECT_EQ(proof.promises[0].stretch->through, "output.supply.voltage");
}

TEST(Stretch, OfTheLinkIsTheLeastOfAll) {
    const auto proof = stretched_proof(divider("at_least = \"4 V\"\n") +
                                       "[[promise]]\nstate = \"on\"\nvoltage = \"x\"\n"
                                       "at_most = \"5.8 V\"\n");
    double least = widest_stretch;
    for (const auto& p : proof.promises) least = std::min(least, p.stretch.value().factor);
    for (const auto& r : proof.ratings) {
        if (r.stretch) least = std::min(least, r.stretch->factor);
    }
    ASSERT_TRUE(proof.stretch);
    EXPECT_DOUBLE_EQ(proof.stretch->stretch.factor, least);
    EXPECT_EQ(proof.stretch->what, "voltage x");
    expect_stretch(proof.stretch->stretch, divider_high(1.16), "the link");
}

// Each side of the nominal is widened by itself: 5 V (4.8 .. 5.8 V) is 5 − 0.2 k … 5 + 0.8 k.
TEST(Stretch, OfAnUnevenSpreadGrowsBySides) {
    const auto text = [](const std::string& promise) {
        return with(with(with(divider(promise), "10 V ± 10 %", "5 V (4.8 .. 5.8 V)"),
                         "R2 = { kind = \"resistor\", value = \"1 kΩ ± 5 %\"",
                         "R2 = { kind = \"resistor\", value = \"1 kΩ\""),
                    "R3 = { kind = \"resistor\", value = \"1 kΩ ± 5 %\"",
                    "R3 = { kind = \"resistor\", value = \"1 kΩ\"");
    };
    const auto least = stretched_proof(text("at_least = \"2.3 V\"\n"));  // 2.5 − 0.1 k
    expect_stretch(least.promises.at(0).stretch, 2, "at least");
    const auto most = stretched_proof(text("at_most = \"3 V\"\n"));  // 2.5 + 0.4 k
    expect_stretch(most.promises.at(0).stretch, 1.25, "at most");
    EXPECT_EQ(most.promises[0].stretch->through, "output.supply.voltage");
}

// Figures end where nature does: R3 ± 40 % is nothing from 2.5 on, and a load, which must have some
// resistance, keeps a thousandth of it, where x is 10 V/1001.
TEST(Stretch, EndsWhereAResistanceDoes) {
    const auto text = [](const std::string& r3, const std::string& promise) {
        return with(with(with(divider(promise), "10 V ± 10 %", "10 V"),
                         "R2 = { kind = \"resistor\", value = \"1 kΩ ± 5 %\"",
                         "R2 = { kind = \"resistor\", value = \"1 kΩ\""),
                    "R3 = { kind = \"resistor\", value = \"1 kΩ ± 5 %\"", "R3 = { " + r3);
    };
    const auto resistor = [&](const std::string& promise) {
        return stretched_proof(text("kind = \"resistor\", value = \"1 kΩ ± 40 %\"", promise))
            .promises.at(0);
    };
    const auto load = [&](const std::string& promise) {
        return stretched_proof(text("kind = \"load\", resistance = \"1 kΩ ± 40 %\"", promise))
            .promises.at(0);
    };
    const auto at = [](double x) { return (1 - x / (10 - x)) / 0.4; };  // x over 1 kΩ at 10 V
    expect_stretch(resistor("at_least = \"20 mV\"\n").stretch, at(0.02), "resistor, 20 mV");
    expect_stretch(resistor("at_least = \"9 mV\"\n").stretch, at(0.009), "resistor, 9 mV");
    expect_stretch(resistor("at_least = \"0 V\"\n").stretch, widest_stretch, "resistor, 0 V");
    expect_stretch(load("at_least = \"20 mV\"\n").stretch, at(0.02), "load, 20 mV");
    expect_stretch(load("at_least = \"9 mV\"\n").stretch, widest_stretch, "load, 9 mV");
}

// Kept with less than the stretch asked for is thin. The reserve asked is what the divider has.
TEST(Stretch, AskedForAndNotThereIsThin) {
    const auto verdict = [](const std::string& asked) {
        const auto proof = stretched_proof(
            divider("at_most = \"6 V\"\n", "reserve = \"1 %\"\nstretch = " + asked));
        return std::string(verdict_name(proof.promises.at(0).verdict));
    };
    EXPECT_EQ(verdict("1.0"), "kept");
    EXPECT_EQ(verdict("1.2"), "kept");
    EXPECT_EQ(verdict("1.27"), "kept");
    EXPECT_EQ(verdict("1.29"), "thin");  // there are 1.279
    EXPECT_EQ(verdict("\"1.5\""), "thin");
}

// A bound that is a figure is widened too: a coil, 400 Ω ± 10 % behind 100 Ω ± 5 % at 12 V ± 10 %,
// pulls in at 6.4 V ± 5 %.
TEST(Stretch, WidensABoundThatIsAFigure) {
    const auto text = [](const std::string& pull_in) {
        return R"([input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "12 V ± 10 %"
paths = ["supply > R2 > coil", "coil > K1 > return", "supply > R4 > y", "y > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "100 Ω ± 5 %" }
R4 = { kind = "resistor", value = "1 kΩ" }
K1 = { kind = "coil", resistance = "400 Ω ± 10 %", pull_in = ")" +
               pull_in + R"(", drop_out = "1 V" }
[[promise]]
state = "on"
voltage = "coil"
at_least = "1 V"
)";
    };
    const auto by_hand = [](double pull_in, double spread) {
        return greatest_stretch([&](double k) {
            const double coil = 400 * (1 - 0.1 * k);
            const double volts = 12 * (1 - 0.1 * k) * coil / (coil + 100 * (1 + 0.05 * k));
            return volts >= pull_in * (1 + spread * k);
        });
    };
    for (const auto& [pull_in, spread] :
         {std::pair{6.4, 0.05}, {6.4, 0.2}, {6.4, 0.0}, {8.5, 0.05}, {9.7, 0.05}}) {
        const std::string figure =
            std::to_string(pull_in) + " V ± " + std::to_string(100 * spread) + " %";
        const auto proof = stretched_proof(text(figure));
        const auto rating = std::ranges::find(proof.ratings, Key::pull_in, &RatingResult::limit);
        ASSERT_NE(rating, proof.ratings.end()) << figure;
        expect_stretch(rating->stretch, pull_in > 9.6 ? 0 : by_hand(pull_in, spread), figure);
    }
}

// A range that nobody stated is all that the trade has, and is not widened: a logic input's 0 to
// 1 µA of leakage in x = 5 V·(1 − 0.02 k) − 100 kΩ·(1 + 0.05 k)·1 µA.
TEST(Stretch, LeavesAssumedRangesAsTheyAre) {
    const auto proof = stretched_proof(R"([input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V ± 2 %"
paths = ["supply > R2 > x", "x > L1 > return", "supply > R4 > y", "y > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "100 kΩ ± 5 %" }
R4 = { kind = "resistor", value = "1 kΩ" }
L1 = { kind = "logic input", low_below = "0.8 V", high_above = "2 V" }
[[promise]]
state = "on"
voltage = "x"
at_least = "4.7 V"
)");
    expect_stretch(proof.promises.at(0).stretch, (5 - 0.1 - 4.7) / (0.1 + 0.005), "the input");
}

}  // namespace
}  // namespace gapwright
