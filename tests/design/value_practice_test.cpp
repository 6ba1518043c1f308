// Values as the bench takes them, where the one asked for is not in the drawer: common practice, no
// source. A string of 9 V, a red indicator (2 V at 20 mA) and an emitter (1.2 V at 20 mA) has 5.8 V
// left for its resistor.
#include <gtest/gtest.h>

#include <algorithm>

#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "value_support.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

// Exact parts, so that the promise has its greatest reserve at the current in its middle.
const std::string string_of_two = R"(title = "String"
[surroundings]
temperature = "25 °C"
[input]
supply = "9 V"
paths = ["supply > R1 > D1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > data", "data > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "choose" }
D1 = { kind = "led", forward = "2 V at 20 mA", series_resistance = "0 Ω", ideality = 1, forward_current = "50 mA" }
U1 = { kind = "pair", emitter = { kind = "led", forward = "1.2 V at 20 mA", radiant_intensity = "8 mW/sr at 20 mA", half_angle = "17 °", series_resistance = "2 Ω", ideality = 2, temperature_coefficient = "0 %/K" }, receiver = "infrared-receiver", distance = "12 mm", shroud = "90 %" }
R2 = { kind = "resistor", value = "10 kΩ" }
[states]
on = { }
[[promise]]
state = "on"
current = "D1"
at_least = "LEAST mA"
at_most = "MOST mA"
)";

struct Wanted {
    double milliamperes;         // the middle of the promise
    std::vector<double> drawer;  // Ω, one of each
    std::string chosen;
    double current;  // A
};

void PrintTo(const Wanted& wanted, std::ostream* out) {
    *out << wanted.milliamperes << " mA";
}

class Practice : public ::testing::TestWithParam<Wanted> {};

TEST_P(Practice, MakesTheValueFromWhatIsThere) {
    const auto& [milliamperes, ohms, chosen, current] = GetParam();
    std::string text = string_of_two;
    // Reserves are shares of their own bound: equal at the wanted current.
    const auto put = [&](const std::string& what, double value) {
        text.replace(text.find(what), what.size(), std::to_string(value));
    };
    put("LEAST", milliamperes / 1.2);
    put("MOST", milliamperes / 0.8);
    const auto link = link_of(text);
    ASSERT_TRUE(link) << to_text(link.error());
    Drawer drawer;
    for (const double r : ohms) drawer.rows.push_back(resistor_row(r, 0, 0.5, 1U));
    const auto problem = ValueProblem::of(*link, stock_of(drawer, "the drawer"));
    ASSERT_TRUE(problem) << to_text(problem.error());
    SearchOptions options{.aim = Aim::most_reserve};
    options.most_parts = 2;
    const auto found = search_values(*problem, options);
    ASSERT_TRUE(found);
    EXPECT_EQ(choice_text(problem->stock(), problem->choice(found->set, 0)), chosen);
    const Link link_now = problem->link_with(found->set);
    const auto circuit = build_circuit(link_now);
    ASSERT_TRUE(circuit);
    const auto proof = prove(link_now, *circuit, {.nominal_only = true});
    ASSERT_TRUE(proof);
    const auto& currents = proof->states[0].currents;
    const auto flows = std::ranges::find(currents, "R1", [](const auto& c) { return c.first; });
    ASSERT_NE(flows, currents.end());
    EXPECT_NEAR(flows->second, current, 1e-4);
}

// What is asked: 5.8 V over 290, 280, 250 and 352 Ω.
INSTANTIATE_TEST_SUITE_P(
    Strings, Practice,
    ::testing::Values(
        Wanted{5.8 / 290 * 1e3, {10, 22, 100, 150, 270, 330}, "22 Ω + 270 Ω", 19.86e-3},
        Wanted{5.8 / 280 * 1e3, {10, 22, 100, 150, 270, 330}, "10 Ω + 270 Ω", 20.7e-3},
        Wanted{5.8 / 250 * 1e3, {10, 22, 100, 150, 330}, "100 Ω + 150 Ω", 23.2e-3},
        Wanted{5.8 / 352 * 1e3, {10, 22, 100, 150, 270, 330}, "22 Ω + 330 Ω", 16.5e-3}));

}  // namespace
}  // namespace gapwright
