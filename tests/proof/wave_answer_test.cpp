// What the answer of `gapwright wave` says of links whose behaviour is known.
#include "proof/timed/wave_answer.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <optional>
#include <sstream>
#include <stdexcept>

#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::with;

WaveAnswer answer_of(const Link& link, const std::string& from, const std::string& to,
                     std::optional<double> end = {}) {
    const auto circuit = build_circuit(link);
    EXPECT_TRUE(circuit);
    auto answer = wave_answer(link, *circuit,
                              {.before = link.find_state(from).value(),
                               .after = link.find_state(to).value(),
                               .end = end});
    EXPECT_TRUE(answer) << answer.error().message;
    return std::move(*answer);
}

const Transition& transition(const WaveAnswer& answer, const std::string& name,
                             Dimension dimension) {
    const auto found = std::ranges::find_if(answer.transitions, [&](const Transition& t) {
        return t.name == name && t.dimension == dimension;
    });
    if (found == answer.transitions.end()) throw std::runtime_error("does not move: " + name);
    return *found;
}

std::string chime_bus_with(const std::string& coupler) {
    std::ifstream file(PROJECT_FOLDER "/examples/clock-tower/chime-bus.link.toml");
    std::stringstream text;
    text << file.rdbuf();
    const std::string own = text.str();
    const std::string key = "U1 = { card = \"";
    const auto begin = own.find(key) + key.size();
    return own.substr(0, begin) + coupler + own.substr(own.find('"', begin));
}

// s from 10 to 90 % at the output, by change.
std::vector<double> edges_of_chime_bus(const std::string& coupler) {
    const auto link = link_from(chime_bus_with(coupler));
    if (!link) throw std::runtime_error(to_text(link.error()));
    std::vector<double> times;
    for (const auto& [from, to] : {std::pair{"mark", "space"}, std::pair{"space", "mark"}}) {
        const auto answer = answer_of(*link, from, to);
        const auto& loop = transition(answer, "U1", Dimension::current);
        EXPECT_NEAR(std::max(loop.before, loop.after), 5e-3, 1e-3);
        const auto& data = transition(answer, "output.data", Dimension::voltage);
        EXPECT_TRUE(data.edge_time) << coupler;
        times.push_back(data.edge_time.value_or(never));
    }
    return times;
}

// A current loop of 5 mA at 31.25 kBd for musical instruments: the receiver's rise and fall times
// are to be below 2 µs (IEC 63035, the MIDI 1.0 electrical specification; from memory).
TEST(ChimeBus, IsQuickEnoughWithTheFastCouplerOnly) {
    for (const double time : edges_of_chime_bus("fast-coupler")) EXPECT_LT(time, 2e-6);
    EXPECT_GT(std::ranges::max(edges_of_chime_bus("four-pin-coupler-a")), 2e-6);
}

// Resistances and light alone.
TEST(WaveAnswer, OfALinkThatStoresNothingFollowsAtOnce) {
    const std::string text = R"([input]
supply = "5 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > x", "x > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "150 Ω" }
R2 = { kind = "resistor", value = "10 kΩ" }
U1 = { kind = "pair", emitter = "white-lamp-led", receiver = { card = "ldr-5mm", rise_time = "0 s", decay_time = "0 s" }, distance = "30 mm" }
[states]
dark = { S1 = "open" }
lit = { S1 = "closed" }
)";
    const auto link = link_from(text);
    ASSERT_TRUE(link) << to_text(link.error());
    for (const auto& [from, to] : {std::pair{"dark", "lit"}, std::pair{"lit", "dark"}}) {
        const auto answer = answer_of(*link, from, to);
        EXPECT_FALSE(answer.stores);
        EXPECT_TRUE(answer.rested);
        const auto& x = transition(answer, "output.x", Dimension::voltage);
        EXPECT_GT(std::abs(x.after - x.before), 2);
        ASSERT_TRUE(x.halfway);
        EXPECT_EQ(*x.halfway, 0);
        EXPECT_EQ(x.edge_time.value_or(1), 0);
        // At its goal from the first instant on.
        EXPECT_NEAR(x.lowest, std::min(x.before, x.after), 1e-9);
        EXPECT_NEAR(x.highest, std::max(x.before, x.after), 1e-9);
    }
    const auto slow = link_from(with(text, "rise_time = \"0 s\"", "rise_time = \"30 ms\""));
    ASSERT_TRUE(slow) << to_text(slow.error());
    const auto answer = answer_of(*slow, "dark", "lit");
    EXPECT_TRUE(answer.stores);
    EXPECT_GT(transition(answer, "output.x", Dimension::voltage).halfway.value_or(0), 1e-4);
}

// What a promise is given is what the table of changes shows.
TEST(WaveAnswer, TellsWhenALogicInputFollowsOrHowNearItComes) {
    const auto link = link_from(testing_support::plain_link());
    ASSERT_TRUE(link);
    const auto answer = answer_of(*link, "on", "off");
    ASSERT_EQ(answer.instants.size(), 1U);
    EXPECT_EQ(answer.instants[0].what, "reads high");
    ASSERT_TRUE(answer.instants[0].at);
    const auto& signal = transition(answer, "output.signal", Dimension::voltage);
    ASSERT_TRUE(signal.halfway);
    EXPECT_GT(*answer.instants[0].at, *signal.halfway);

    const auto weak =
        link_from(with(testing_support::plain_link(), "R2 = { kind = \"resistor\", value = \"10 kΩ",
                       "R2 = { kind = \"resistor\", value = \"20 MΩ"));
    ASSERT_TRUE(weak);
    const auto never_high = answer_of(*weak, "on", "off");
    ASSERT_EQ(never_high.instants.size(), 1U);
    EXPECT_FALSE(never_high.instants[0].at);
    EXPECT_LT(never_high.instants[0].comes_to, never_high.instants[0].level);
    EXPECT_GT(never_high.instants[0].comes_to, 1);
}

// What is followed for a time of one's own may not have got there yet: that is not "never".
TEST(WaveAnswer, TellsNoMoreThanWasFollowed) {
    const auto link = link_from(testing_support::plain_link());
    ASSERT_TRUE(link);
    const auto whole = answer_of(*link, "on", "off");
    ASSERT_TRUE(whole.instants[0].at);
    const auto begun = answer_of(*link, "on", "off", 0.5 * *whole.instants[0].at);
    ASSERT_EQ(begun.instants.size(), 1U);
    EXPECT_FALSE(begun.instants[0].at);
    EXPECT_TRUE(begun.instants[0].open);
    EXPECT_FALSE(begun.delays.back().nominal);
    const auto most = answer_of(*link, "on", "off", 2 * *whole.instants[0].at);
    EXPECT_FALSE(most.instants[0].open);
    EXPECT_NEAR(most.instants[0].at.value_or(never), *whole.instants[0].at,
                1e-4 * *whole.instants[0].at);
}

}  // namespace
}  // namespace gapwright
