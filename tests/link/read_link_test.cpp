// What a valid link file becomes.
#include "card/key.hpp"
#include "link/link.hpp"

#include <gtest/gtest.h>

#include "link/link_circuit.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

TEST(ReadLink, PlacesPartsBetweenNodes) {
    const auto link = link_from(plain_link());
    ASSERT_TRUE(link);
    EXPECT_EQ(link->title, "Plain");
    const auto r2 = link->find_part("R2");
    ASSERT_TRUE(r2);
    const auto& placement = link->parts[*r2].output;
    ASSERT_TRUE(placement);
    EXPECT_EQ(link->output.node_names[to_index(placement->from)], "supply");
    EXPECT_EQ(link->output.node_names[to_index(placement->to)], "signal");
    EXPECT_FALSE(link->parts[*r2].input);
    const auto& gap = link->parts[*link->find_part("U1")];
    EXPECT_TRUE(gap.is_gap() && gap.input && gap.output);
}

TEST(ReadLink, DefaultsOfTheSurroundings) {
    const auto link = link_from(plain_link());
    ASSERT_TRUE(link);
    const Surroundings& s = link->surroundings;
    EXPECT_DOUBLE_EQ(s.temperature.nominal, 298.15);
    EXPECT_FALSE(s.temperature.varies());
    EXPECT_EQ(s.light.highest, 0);
    EXPECT_FALSE(s.working_voltage);
    EXPECT_EQ(s.service, 0);
    EXPECT_TRUE(link->shares().empty());
    EXPECT_EQ(s.reserve, 0.1);
}

TEST(ReadLink, ReserveOfASurroundingsAndOfAPromise) {
    const auto link =
        link_from(with(with(plain_link(), "[input]", "[surroundings]\nreserve = \"20 %\"\n[input]"),
                       "at_most = \"0.8 V\"", "at_most = \"0.8 V\"\nreserve = \"5 %\""));
    ASSERT_TRUE(link);
    EXPECT_DOUBLE_EQ(link->surroundings.reserve, 0.2);
    EXPECT_DOUBLE_EQ(link->promises[0].reserve, 0.05);
}

TEST(ReadLink, CardsAreOverriddenInPlace) {
    const auto link = link_from(with(plain_link(), "card = \"four-pin-coupler-b\"",
                                     "card = \"four-pin-coupler-b\", "
                                     "transfer = { dark_current = \"1 nA\" }, gain = 400"));
    ASSERT_TRUE(link) << to_text(link.error());
    const Description& d = link->parts[*link->find_part("U1")].description;
    EXPECT_DOUBLE_EQ(d.nominal(Key::dark_current), 1e-9);
    EXPECT_DOUBLE_EQ(d.nominal(Key::gain), 400);
    EXPECT_FALSE(d.find(Key::gain)->spread.varies());  // the card's spread was of the card's figure
    EXPECT_TRUE(d.find(Key::ctr)->spread.varies());
}

TEST(ReadLink, AStateThatLeavesAContactOutRestsIt) {
    const auto link = link_from(with(plain_link(), "off = { S1 = \"open\" }", "off = {}"));
    ASSERT_TRUE(link);
    const State& off = link->states[1];
    EXPECT_EQ(off.settings.at(*link->find_part("S1")), Setting::open);
    EXPECT_EQ(off.assumed.size(), 1U);
}

TEST(ReadLink, ALinkWithoutStatesHasOne) {
    std::string text = plain_link();
    const auto states = text.find("[states]");
    text.erase(states, text.find("[[promise]]") - states);
    const auto link = link_from(text);
    ASSERT_TRUE(link) << to_text(link.error());
    EXPECT_EQ(link->states.size(), 1U);
    EXPECT_EQ(link->states[0].name, "on");
}

TEST(BuildCircuit, StatedTransferRatioComesOutOfTheCircuit) {
    // The receiver alone across 5 V, its emitter at 5 mA: what the card's ctr is stated for.
    const std::string text = R"([input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "760 Ω" }
U1 = { kind = "coupler", forward = "1.2 V at 5 mA", ctr = "120 % (80 .. 160 %) at 5 mA, 5 V" }
)";
    const auto link = link_from(text);
    ASSERT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit) << to_text(circuit.error());
    const auto points = solve_link(circuit->circuit, circuit->nominal_values(), {});
    ASSERT_TRUE(points);
    const auto u1 = *link->find_part("U1");
    const double emitter = measure(circuit->of(u1, Side::input)->current(), (*points)[0]);
    const double receiver = measure(circuit->of(u1, Side::output)->current(), (*points)[0]);
    EXPECT_NEAR(emitter, 5e-3, 1e-9);
    EXPECT_NEAR(receiver / emitter, 1.2, 1e-7);
}

TEST(BuildCircuit, OnlyFiguresThatTheCircuitUsesBecomeParameters) {
    const auto link = link_from(plain_link());
    ASSERT_TRUE(link);
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit);
    for (const auto& parameter : circuit->parameters) {
        EXPECT_NE(parameter.id.key, Key::power);
        EXPECT_NE(parameter.id.key, Key::ctr);
    }
    EXPECT_EQ(circuit->circuit.slots, circuit->parameters.size());
}

}  // namespace
}  // namespace gapwright
