// A relay's winding let go: what its current runs through afterwards decides how long it stays and
// what the switch must bear.
#include <gtest/gtest.h>

#include <cmath>

#include "support/timed_scene.hpp"

namespace gapwright {
namespace {

using testing_support::Scene;

// A transistor switches a 24 V relay; `path` is where its current goes afterwards.
std::string relay(const std::string& path, const std::string& parts) {
    return R"([input]
supply = "5 V"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "24 V"
paths = ["supply > R2 > U1 > Q1.base", "Q1.base > R3 > return", "supply > K1 > coil", "coil > Q1 > return")" +
           path + R"(]
[parts]
P1 = { card = "logic-output-5v" }
R1 = { kind = "resistor", value = "330 Ω" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "10 kΩ" }
R3 = { kind = "resistor", value = "10 kΩ" }
Q1 = { card = "npn-medium" }
K1 = { kind = "coil", resistance = "720 Ω", inductance = "0.9 H" }
)" + parts +
           R"([states]
on = { P1 = "high" }
off = { P1 = "low" }
)";
}

constexpr const char* diode = "D1 = { kind = \"diode\", forward = \"0.7 V at 10 mA\" }\n";
constexpr const char* zener =
    "Z1 = { kind = \"zener\", forward = \"0.7 V at 10 mA\", zener_voltage = \"24 V\" }\n";

struct LetGo {
    double drop_out = 0;  // s, until a tenth of the current is left
    double peak = 0;      // V, collector to emitter
    double current = 0;   // A, when it was let go
};

LetGo let_go(const std::string& path, const std::string& parts) {
    const Scene scene(relay(path, parts));
    const Probe winding = scene.part("K1", Side::output).current();
    const auto wave =
        scene.follow(scene.change("on", "off"),
                     {{.probe = winding}, {scene.part("Q1", Side::output).voltage()}});
    return {scene.delay(winding, "on", "off", 0.9), wave.wave.highest[1], wave.wave.first[0]};
}

TEST(Winding, StaysLongerThroughADiodeThanThroughAZenerToo) {
    const LetGo plain = let_go(", \"coil > D1 > supply\"", diode);
    const LetGo quick =
        let_go(", \"coil > D1 > k\", \"supply > Z1 > k\"", std::string(diode) + zener);
    ASSERT_LT(plain.drop_out, never);
    ASSERT_LT(quick.drop_out, never);
    EXPECT_GT(plain.drop_out, 1.5 * quick.drop_out);
    // From I to a tenth of it against a constant V and its own R: L/R·ln((I + V/R)/(I/10 + V/R)).
    // The transistor takes a while to let go, and a diode's drop follows its current.
    const auto by_hand = [](double current, double volts) {
        const double extra = volts / 720;
        return 0.9 / 720 * std::log((current + extra) / (0.1 * current + extra));
    };
    EXPECT_NEAR(plain.drop_out, by_hand(plain.current, 0.7), 0.3e-3);
    EXPECT_NEAR(quick.drop_out, by_hand(quick.current, 24.7), 0.3e-3);
    EXPECT_NEAR(plain.peak, 24 + 0.7, 0.02 * 24.7);
    EXPECT_NEAR(quick.peak, 24 + 24 + 0.7, 0.02 * 48.7);
}

TEST(Winding, WithoutAWayOutGoesFarBeyondTheSupply) {
    const LetGo bare = let_go("", "");
    EXPECT_GT(bare.peak, 10 * 24);
}

}  // namespace
}  // namespace gapwright
