// How contacts, logic outputs, light-dependent resistors and windings follow a change.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "support/timed_scene.hpp"

namespace gapwright {
namespace {

using testing_support::Scene;

std::string bouncing(const std::string& bounce) {
    return R"([input]
supply = "5 V"
paths = ["supply > S1 > sense", "sense > R1 > U1 > return", "sense > R3 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > data", "data > U1 > return"]
[parts]
S1 = { kind = "contact", bounce = ")" +
           bounce + R"(" }
R1 = { kind = "resistor", value = "1 kΩ" }
R2 = { kind = "resistor", value = "1 kΩ" }
R3 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
[states]
off = { S1 = "open" }
on = { S1 = "closed" }
)";
}

TEST(Contact, BouncesForItsTimeAndThenStays) {
    const Scene scene(bouncing("2 ms"));
    const WaveWatch sense{.probe = scene.node("sense", Side::input), .level = 2.5};
    const auto closing = scene.follow(scene.change("off", "on"), {sense}).wave;
    ASSERT_GE(closing.crossings.size(), 3U);
    EXPECT_NEAR(closing.crossings.front().at, 0, 1e-9);
    EXPECT_NEAR(closing.crossings.back().at, 2e-3, 1e-6);
    EXPECT_TRUE(closing.crossings.back().rising);
    // Opening does not bounce.
    const auto opening = scene.follow(scene.change("on", "off"), {sense}).wave;
    ASSERT_EQ(opening.crossings.size(), 1U);
    EXPECT_NEAR(opening.crossings[0].at, 0, 1e-9);
}

TEST(Contact, WithoutBounceClosesOnce) {
    const Scene scene(bouncing("0 s"));
    const auto wave = scene.follow(scene.change("off", "on"),
                                   {{.probe = scene.node("sense", Side::input), .level = 2.5}});
    ASSERT_EQ(wave.wave.crossings.size(), 1U);
    EXPECT_NEAR(wave.wave.crossings[0].at, 0, 1e-9);
}

TEST(LogicOutput, IsHalfWayAfterHalfItsRiseTime) {
    for (const auto& [rise, middle] : {std::pair{"10 µs", 5e-6}, std::pair{"0 s", 0.0}}) {
        const Scene scene(std::string(R"([input]
supply = "5 V"
paths = ["supply > P1 > pin", "pin > R1 > return", "supply > R3 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > data", "data > U1 > return"]
[parts]
P1 = { kind = "logic output", high = "5 V", low = "0 V", resistance = "100 Ω", rise_time = ")") +
                          rise + R"(" }
R1 = { kind = "resistor", value = "1 kΩ" }
R2 = { kind = "resistor", value = "1 kΩ" }
R3 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
[states]
off = { P1 = "low" }
on = { P1 = "high" }
)");
        const Probe pin = scene.node("pin", Side::input);
        EXPECT_NEAR(scene.delay(pin, "off", "on", 0.5), middle, 1e-9) << rise;
        EXPECT_NEAR(scene.delay(pin, "on", "off", 0.5), middle, 1e-9) << rise;
        EXPECT_NEAR(scene.delay(pin, "off", "on", 0.9), 1.8 * middle, 1e-9) << rise;
    }
}

// A light-dependent resistor that gets its light at once, 30 ms up and 40 ms down.
std::string lit_cell() {
    return R"([input]
supply = "5 V"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > x", "x > U1 > return"]
[parts]
P1 = { kind = "logic output", high = "5 V", low = "0 V" }
R1 = { kind = "resistor", value = "150 Ω" }
R2 = { kind = "resistor", value = "10 kΩ" }
U1 = { kind = "pair", emitter = "white-lamp-led", receiver = "ldr-5mm", distance = "150 mm" }
[states]
dark = { P1 = "low" }
lit = { P1 = "high" }
)";
}

constexpr double reference = 9e3;        // Ω at 10 lx, of the card
constexpr double dark_resistance = 2e6;  // Ω
constexpr double rise = 30e-3;           // s
constexpr double decay = 40e-3;          // s

double lit_conductance_at(const Scene& scene, const StatePoint& point) {
    const auto& cell = scene.part("U1", Side::output);
    return measure(cell.current(), point) / measure(cell.voltage(), point) - 1 / dark_resistance;
}

TEST(LightDependentResistor, RisesAsAFirstOrder) {
    const Scene scene(lit_cell());
    const auto wave = scene.follow(scene.change("dark", "lit"), {},
                                   {.tolerance = 1e-8, .record = true, .end = 8 * rise});
    const double final = lit_conductance_at(scene, wave.rest[to_index(scene.state("lit"))]);
    ASSERT_GT(wave.wave.points.size(), 30U);
    for (const auto& point : wave.wave.points) {
        EXPECT_NEAR(lit_conductance_at(scene, point.point),
                    final * (1 - std::exp(-point.time / rise)), 1e-3 * final)
            << point.time;
    }
}

// As soon as its resistance is above that at 10 lx its decay slows: dg/dt = −R·g²/decay, so that
// 1/(R·g) grows by 1 every 40 ms.
TEST(LightDependentResistor, DecaysSlowerAsItDarkens) {
    const Scene scene(lit_cell());
    const auto wave = scene.follow(scene.change("lit", "dark"), {},
                                   {.tolerance = 1e-8, .record = true, .end = 50 * decay});
    const auto& points = wave.wave.points;
    const double first = lit_conductance_at(scene, points.front().point);
    ASSERT_GT(first * reference, 2) << "lit well above its reference";
    const double bend = decay * std::log(first * reference);
    std::vector<double> passed;  // 50, 10, 5 %
    for (const auto& point : points) {
        const double g = lit_conductance_at(scene, point.point);
        const double expected = point.time < bend
                                    ? first * std::exp(-point.time / decay)
                                    : 1 / (reference * (1 + (point.time - bend) / decay));
        EXPECT_NEAR(g, expected, 1e-3 * first) << point.time;
        EXPECT_NEAR(g / expected, 1, 2e-2) << point.time;
        for (const double share : {0.5, 0.1, 0.05}) {
            const std::size_t next = passed.size();
            const bool due = share == (next == 0 ? 0.5 : next == 1 ? 0.1 : 0.05);
            if (due && next < 3 && g < share * first) passed.push_back(point.time);
        }
    }
    ASSERT_EQ(passed.size(), 3U);
    EXPECT_GT(passed[2] - passed[1], 4 * passed[0]);
}

}  // namespace
}  // namespace gapwright
