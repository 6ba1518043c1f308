// Checks of good practice, each on a link whose sums a pencil does: common practice, no source.
// What is asked stands in docs/method.md, Design: values.
#include "design/values/practice.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "card/card_shelf.hpp"
#include "circuit/link_point.hpp"
#include "need_support.hpp"
#include "population/specimen.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

// A coupler drives a switch transistor for a relay of 200 Ω at 12 V: about 60 mA.
std::string relay_link(const std::string& emitter, const std::string& base,
                       const std::string& bleed) {
    return R"(title = "Relay"
[surroundings]
temperature = "25 °C"
[input]
supply = "5 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "12 V"
paths = ["supply > R2 > U1 > Q1.base", "Q1.base > R3 > return", "supply > K1 > coil > Q1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = ")" +
           emitter + R"(", power = "0.25 W" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = ")" +
           base + R"(", power = "0.25 W" }
R3 = { kind = "resistor", value = ")" +
           bleed + R"(" }
Q1 = { card = "npn-medium" }
K1 = { kind = "coil", resistance = "200 Ω", pull_in = "8 V", drop_out = "1 V" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = ["supply", "coil"]
at_least = "8 V"
)";
}

// The shortfall of one check of a part, of the nominal specimen.
Shortfall shortfall_at(const std::string& text, const std::string& part, Practice practice) {
    const auto link = link_of(text);
    if (!link) throw std::runtime_error(to_text(link.error()));
    const auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    Bounds bounds = bounds_of(*link, *circuit, {});
    const auto checks = practice_checks(*link, *circuit, {}, bounds);
    const Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
    const auto points = solve_link(circuit->circuit, specimen.values, specimen.conditions);
    if (!points) throw std::runtime_error("no operating point");
    const std::size_t index = link->find_part(part).value();
    const auto found = std::ranges::find_if(
        checks, [&](const PracticeCheck& c) { return c.part == index && c.practice == practice; });
    if (found == checks.end()) throw std::runtime_error("no such check");
    const auto at = [&](std::size_t m) {
        const Measure& one = bounds.measures[m];
        return measure(one.probe, (*points)[static_cast<std::size_t>(one.state)]);
    };
    return shortfall(*found, at);
}

TEST(GoodPractice, ABaseWantsATwentiethOfItsCollectorsCurrent) {
    // 11.2 V / 2.2 kΩ = 5 mA for 59 mA: more than a twentieth, 2.95 mA.
    const auto enough =
        shortfall_at(relay_link("680 Ω", "2.2 kΩ", "10 kΩ"), "Q1", Practice::base_drive);
    EXPECT_EQ(enough.share, 0);
    EXPECT_NEAR(enough.asked, 0.05 * 0.0595, 0.0005);
    // 11.2 V / 22 kΩ = 0.5 mA, less what the bleed takes (0.07 mA): a seventh of it.
    const auto little =
        shortfall_at(relay_link("680 Ω", "22 kΩ", "10 kΩ"), "Q1", Practice::base_drive);
    EXPECT_NEAR(little.found, 0.44e-3, 0.03e-3);
    EXPECT_NEAR(little.share, 1 - 0.44 / 2.9, 0.03);
}

TEST(GoodPractice, ATransistorThatConductsInNoStateIsNoAnswer) {
    // 10 Ω from base to emitter leave it 50 mV.
    EXPECT_EQ(
        shortfall_at(relay_link("680 Ω", "2.2 kΩ", "10 Ω"), "Q1", Practice::part_at_work).share, 1);
    EXPECT_EQ(
        shortfall_at(relay_link("680 Ω", "2.2 kΩ", "10 kΩ"), "Q1", Practice::part_at_work).share,
        0);
}

TEST(GoodPractice, AnEmitterRunsNearWhereItsTransferIsStated) {
    // The card states 5 mA: 3.8 V / 680 Ω = 5.6 mA is near it, 3.9 V / 6.8 kΩ = 0.57 mA is an
    // eighth: two octaves beyond the one that is allowed.
    EXPECT_EQ(
        shortfall_at(relay_link("680 Ω", "2.2 kΩ", "10 kΩ"), "U1", Practice::emitter_current).share,
        0);
    const auto far =
        shortfall_at(relay_link("6.8 kΩ", "2.2 kΩ", "10 kΩ"), "U1", Practice::emitter_current);
    EXPECT_NEAR(far.found, 0.57e-3, 0.03e-3);
    EXPECT_EQ(far.asked, 5e-3);
    EXPECT_NEAR(far.share, 1, 0.1);
}

TEST(GoodPractice, AReceiverIsThroughOrShut) {
    // 0.57 mA times 0.5 … 1.3 is less than the 5 mA that 2.2 kΩ would pass: it hangs half way.
    EXPECT_GT(
        shortfall_at(relay_link("6.8 kΩ", "2.2 kΩ", "2.2 kΩ"), "U1", Practice::half_way).found, 6);
    EXPECT_EQ(shortfall_at(relay_link("680 Ω", "4.7 kΩ", "10 kΩ"), "U1", Practice::half_way).share,
              0);
}

TEST(GoodPractice, ResistorsAreOfOrdinaryValuesAndRunAtHalfTheirRating) {
    const PracticeCheck series{.practice = Practice::resistor_value, .figure = 1e6};
    EXPECT_EQ(value_shortfall(series, 47).share, 0);
    EXPECT_EQ(value_shortfall(series, 1e6).share, 0);
    EXPECT_NEAR(value_shortfall(series, 4.7).share, 1, 1e-9);
    EXPECT_NEAR(value_shortfall(series, 2e6).share, 0.2 + 0.301, 1e-3);
    const PracticeCheck bleed{.practice = Practice::holding_resistor, .figure = 100e3};
    EXPECT_GT(value_shortfall(bleed, 820e3).share, 0.9);
    const PracticeCheck power{.practice = Practice::dissipation, .figure = 0.5};
    EXPECT_EQ(reserve_shortfall(power, 0.5).share, 0);
    EXPECT_NEAR(reserve_shortfall(power, 0.25).share, 0.5, 1e-12);
    EXPECT_EQ(reserve_shortfall(power, -0.1).share, 1);
}

}  // namespace
}  // namespace gapwright
