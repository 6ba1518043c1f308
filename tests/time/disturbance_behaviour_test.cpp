// Edges of the voltage between the sides, dips of a supply, and time constants far apart.
#include <gtest/gtest.h>

#include <cmath>

#include "support/timed_scene.hpp"

namespace gapwright {
namespace {

using testing_support::Scene;

// An idle receiver with a capacitor at its collector.
std::string idle(const std::string& coupler_figures) {
    return R"([input]
supply = "5 V"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > data", "data > U1 > return", "data > C1 > return"]
[parts]
P1 = { kind = "logic output", high = "5 V", low = "0 V" }
R1 = { kind = "resistor", value = "1 kΩ" }
R2 = { kind = "resistor", value = "10 kΩ" }
C1 = { kind = "capacitor", value = "1 nF" }
U1 = { kind = "coupler", forward = "1.2 V at 10 mA", photocurrent_ratio = 3e-3, gap_capacitance = "0.6 pF", )" +
           coupler_figures + R"( }
[states]
off = { P1 = "low" }
on = { P1 = "high" }
)";
}

constexpr double slope = 500e6;         // V/s
constexpr double length = 24 / slope;   // s
constexpr double gap = 0.6e-12;         // F
constexpr double collector = 1.005e-9;  // F: the capacitor, and the receiver's in series

TEST(Surge, MovesAnIdleCollectorByItsChargeAndIsForgotten) {
    const Scene scene(idle(R"(dark_current = "0 A", base_share = "0 %")"));
    const Probe data = scene.node("data", Side::output);
    for (const double direction : {1.0, -1.0}) {
        const Schedule surge{.from = scene.state("off"),
                             .surges = {{0, length, direction * slope}}};
        const auto wave = scene.follow(surge, {{data}}).wave;
        const double moved =
            direction > 0 ? wave.highest[0] - wave.first[0] : wave.first[0] - wave.lowest[0];
        EXPECT_NEAR(moved, gap * 24 / collector, 0.02 * gap * 24 / collector) << direction;
        const double other =
            direction > 0 ? wave.first[0] - wave.lowest[0] : wave.highest[0] - wave.first[0];
        EXPECT_LT(other, 0.02 * moved) << direction;
        EXPECT_TRUE(wave.rested);
        EXPECT_NEAR(wave.last[0], wave.first[0], 1e-3);
    }
}

// What reaches the base is amplified, and pulls the collector down; what leaves it does not.
TEST(Surge, IntoTheBaseTurnsTheReceiverOn) {
    const auto lowest = [](const char* share, double direction) {
        const Scene scene(
            idle(std::string("dark_current = \"0.1 nA\", base_share = \"") + share + "\""));
        const Schedule surge{.from = scene.state("off"),
                             .surges = {{0, length, direction * slope}}};
        const auto wave = scene.follow(surge, {{scene.node("data", Side::output)}}).wave;
        EXPECT_TRUE(wave.rested) << share;
        EXPECT_NEAR(wave.last[0], wave.first[0], 1e-3) << share;
        return wave.first[0] - wave.lowest[0];
    };
    EXPECT_LT(lowest("0 %", 1), 0.01);
    EXPECT_GT(lowest("100 %", 1), 0.1);
    EXPECT_LT(lowest("100 %", -1), 0.01);
}

TEST(Dip, TakesTheSupplysShareAndReturns) {
    const Scene scene(idle(R"(dark_current = "0 A")"));
    const Probe data = scene.node("data", Side::output);
    const Schedule dip{.from = scene.state("off"), .dips = {{Side::output, 1e-3, 1e-3, 0.3}}};
    const auto wave =
        scene.follow(dip, {{.probe = data, .level = 4.25}, {scene.node("supply", Side::output)}});
    EXPECT_NEAR(wave.wave.lowest[1], 3.5, 1e-6);
    EXPECT_NEAR(wave.wave.lowest[0], 3.5, 5e-3);
    EXPECT_NEAR(wave.wave.last[0], wave.wave.first[0], 1e-3);
    EXPECT_LT(wave.wave.highest[0], 5 + 1e-3);
    // Half-way after a time constant of 10 kΩ and the collector's capacitance, times ln 2.
    ASSERT_EQ(wave.wave.crossings.size(), 2U);
    const double half = 10e3 * collector * std::log(2);
    EXPECT_NEAR(wave.wave.crossings[0].at, 1e-3 + half, 0.05 * half);
    EXPECT_NEAR(wave.wave.crossings[1].at, 2e-3 + half, 0.05 * half);
    // A dip of the input's supply does nothing to an unlit link.
    const auto input =
        scene.follow({.from = scene.state("off"), .dips = {{Side::input, 0, 1e-3, 1.0}}}, {{data}});
    EXPECT_NEAR(input.wave.lowest[0], input.wave.first[0], 1e-6);
}

TEST(TimeConstants, ANanosecondBesideASecond) {
    const Scene scene(R"([input]
supply = "5 V"
paths = ["supply > P1 > pin", "pin > R1 > fast", "fast > C1 > return", "pin > R2 > slow", "slow > C2 > return", "supply > R9 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R8 > data", "data > U1 > return"]
[parts]
P1 = { kind = "logic output", high = "5 V", low = "0 V", resistance = "0 Ω" }
R1 = { kind = "resistor", value = "1 kΩ" }
C1 = { kind = "capacitor", value = "1 pF" }
R2 = { kind = "resistor", value = "1 MΩ" }
C2 = { kind = "capacitor", value = "1 µF" }
R8 = { kind = "resistor", value = "1 kΩ" }
R9 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
[states]
off = { P1 = "low" }
on = { P1 = "high" }
)");
    for (const double share : {0.5, 0.9}) {
        const auto wave =
            scene
                .follow(scene.change("off", "on"),
                        {{.probe = scene.node("fast", Side::input), .level = 5 * share},
                         {.probe = scene.node("slow", Side::input), .level = 5 * share}})
                .wave;
        ASSERT_EQ(wave.crossings.size(), 2U);
        const double constants = -std::log(1 - share);
        EXPECT_EQ(wave.crossings[0].watch, 0U);
        EXPECT_NEAR(wave.crossings[0].at / (1e-9 * constants), 1, 1e-3);
        EXPECT_NEAR(wave.crossings[1].at / (1.0 * constants), 1, 1e-3);
        EXPECT_TRUE(wave.rested);
    }
}

}  // namespace
}  // namespace gapwright
