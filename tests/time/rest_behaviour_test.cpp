// When a waveform may end: not before what flows in windings, what cells have taken up, and what
// levels ask for have come to rest.
#include <gtest/gtest.h>

#include <cmath>

#include "support/timed_scene.hpp"

namespace gapwright {
namespace {

using testing_support::Scene;

std::string switched(const std::string& paths, const std::string& parts) {
    return R"([input]
supply = "24 V"
paths = [)" +
           paths + R"(, "supply > R9 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R8 > data", "data > U1 > return"]
[parts]
R8 = { kind = "resistor", value = "1 kΩ" }
R9 = { kind = "resistor", value = "4.7 kΩ" }
U1 = { card = "four-pin-coupler-b" }
S1 = { kind = "contact" }
)" + parts +
           R"([states]
off = { S1 = "open" }
on = { S1 = "closed" }
)";
}

// The voltage is there at once, the current is not: i = I·(1 − e^{−tR/L}).
TEST(Rest, WaitsForTheCurrentOfAWinding) {
    const Scene scene(
        switched("\"supply > S1 > K1 > return\"",
                 "K1 = { kind = \"coil\", resistance = \"720 Ω\", inductance = \"0.9 H\" }\n"));
    const Probe current = scene.part("K1", Side::input).current();
    const auto run = scene.follow(scene.change("off", "on"), {{.probe = current}});
    EXPECT_TRUE(run.wave.rested);
    EXPECT_NEAR(run.wave.last[0], 24.0 / 720, 1e-3 * 24.0 / 720);
    const double tau = 0.9 / 720;
    EXPECT_NEAR(scene.delay(current, "off", "on", 0.5), tau * std::log(2.0), 1e-3 * tau);
    EXPECT_GT(run.wave.end, 9 * tau);
}

// 1 mH and 1 µF ring with 1 Ω: half of the swing is left after 2·L/R·ln 2.
TEST(Rest, WaitsUntilRingingIsOver) {
    const Scene scene(
        switched("\"supply > S1 > R1 > L1 > top\", \"top > C1 > return\", "
                 "\"top > R2 > return\"",
                 "R1 = { kind = \"resistor\", value = \"1 Ω\" }\n"
                 "R2 = { kind = \"resistor\", value = \"1 MΩ\" }\n"
                 "L1 = { kind = \"inductor\", value = \"1 mH\" }\n"
                 "C1 = { kind = \"capacitor\", value = \"1 µF\" }\n"));
    const auto run = scene.follow(scene.change("off", "on"), {{scene.node("top", Side::input)}});
    EXPECT_TRUE(run.wave.rested);
    const double ringing = 2e-3 / 1.05 * std::log(1e4);  // s, until 1e-4 of the swing is left
    EXPECT_GT(run.wave.end, 0.8 * ringing);
    EXPECT_LT(run.wave.end, 2 * ringing);
    // Overshoot of a lightly damped circuit: 1 + e^{−πζ/√(1−ζ²)}, ζ = R/2·√(C/L).
    const double zeta = 0.5 * 1.05 * std::sqrt(1e-6 / 1e-3);
    const double way = 1 - run.wave.first[0] / run.wave.last[0];  // an open contact leaks
    const double peak = 1 + way * std::exp(-M_PI * zeta / std::sqrt(1 - zeta * zeta));
    EXPECT_NEAR(run.wave.highest[0] / run.wave.last[0], peak, 2e-4 * peak);
}

TEST(Rest, WaitsForALevelCloseToIt) {
    const Scene scene(
        switched("\"supply > S1 > R1 > top\", \"top > C1 > return\", "
                 "\"top > R2 > return\"",
                 "R1 = { kind = \"resistor\", value = \"1 kΩ\" }\n"
                 "R2 = { kind = \"resistor\", value = \"1 MΩ\" }\n"
                 "C1 = { kind = \"capacitor\", value = \"1 µF\" }\n"));
    // Nearer to its rest than what counts as rest.
    const double share = 1 - 1e-5;
    const double tau = 1e-3 / (1 + 1e-3);
    EXPECT_NEAR(scene.delay(scene.node("top", Side::input), "off", "on", share),
                tau * std::log(1e5), 2e-2 * tau * std::log(1e5));
}

}  // namespace
}  // namespace gapwright
