// How a phototransistor follows its light, from the physics: what its time constant is made of,
// what saturation adds.
#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "support/timed_scene.hpp"

namespace gapwright {
namespace {

using testing_support::Scene;

struct Figures {
    double base_collector = 12e-12;  // F
    double base_emitter = 20e-12;    // F
    double gain = 300;
    double pull_up = 10e3;            // Ω
    double emitter_resistance = 5e3;  // Ω
    double transit = 2e-9;            // s
    double reverse_transit = 200e-9;  // s
};

// A coupler pulls `data` down; an emitter of so many ohms at 5 V, switched without delay.
std::string pulled_up(const Figures& f) {
    std::ostringstream text;
    text << R"([input]
supply = "5 V"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > data", "data > U1 > return"]
[parts]
P1 = { kind = "logic output", high = "5 V", low = "0 V" }
R1 = { kind = "resistor", value = ")"
         << f.emitter_resistance << R"( Ω" }
R2 = { kind = "resistor", value = ")"
         << f.pull_up << R"( Ω" }
U1 = { kind = "coupler", forward = "1.2 V at 10 mA", photocurrent_ratio = 3e-3, leak_current = "0 A", gain = )"
         << f.gain << ", base_collector_capacitance = \"" << f.base_collector
         << " F\", base_emitter_capacitance = \"" << f.base_emitter << " F\", transit_time = \""
         << f.transit << " s\", reverse_transit_time = \"" << f.reverse_transit << R"( s" }
[states]
off = { P1 = "low" }
on = { P1 = "high" }
)";
    return text.str();
}

double turn_off(const Figures& figures, double share) {
    const Scene scene(pulled_up(figures));
    return scene.delay(scene.node("data", Side::output), "on", "off", share);
}

// With its base open a receiver's collector rises as fast as the base's own leak lets it: the
// current into the base through the collector's capacitance comes back times the gain, so that the
// time constant is that capacitance times gain times pull-up.
TEST(Receiver, TurnOffDelayIsCapacitanceTimesGainTimesPullUp) {
    const Figures plain{.reverse_transit = 0};
    const double delay = turn_off(plain, 0.5);
    ASSERT_LT(delay, never);
    for (const auto& [name, member] :
         {std::pair{"capacitance", &Figures::base_collector}, std::pair{"gain", &Figures::gain},
          std::pair{"pull-up", &Figures::pull_up}}) {
        Figures twice = plain;
        twice.*member *= 2;
        const double ratio = turn_off(twice, 0.5) / delay;
        EXPECT_NEAR(ratio, 2, 0.5) << name;
    }
}

// The charge of a saturated base must leave before the collector moves.
TEST(Receiver, SaturationDelaysTurnOff) {
    const auto with_light = [](double emitter_resistance, double reverse_transit) {
        return turn_off(
            {.emitter_resistance = emitter_resistance, .reverse_transit = reverse_transit}, 0.1);
    };
    double last = 0;
    for (const double resistance : {5e3, 2e3, 800.0, 300.0}) {
        const double stored = with_light(resistance, 200e-9);
        const double without = with_light(resistance, 0);
        EXPECT_GT(stored, last) << resistance;
        if (resistance < 1e3) {
            EXPECT_LT(without, 0.8 * stored) << resistance;
        }
        last = stored;
    }
}

// At a fixed collector voltage nothing but the transit time stores: the charge τ·I of the main
// current loses I/β. The receiver's current is the photocurrent, at once, and β times it, after a
// first order of time constant β·τ.
TEST(Receiver, IsOfFirstOrderAtAFixedVoltage) {
    const double gain = 250;
    const double transit = 4e-9;
    const double tau = gain * transit;
    const Scene scene(R"([input]
supply = "5 V"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > U1 > return"]
[parts]
P1 = { kind = "logic output", high = "5 V", low = "0 V" }
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { kind = "coupler", forward = "1.2 V at 10 mA", photocurrent_ratio = 1e-3, dark_current = "0 A", gain = 250, transit_time = "4 ns", reverse_transit_time = "0 s", base_collector_capacitance = "0 F", base_emitter_capacitance = "0 F", leak_current = "0 A", early_voltage = "1 GV", knee_current = "1 MA", collector_resistance = "0 Ω" }
[states]
off = { P1 = "low" }
on = { P1 = "high" }
)");
    const Probe current = scene.part("U1", Side::output).current();
    const double final = scene.rest(current, "on");
    ASSERT_GT(final, 100e-6);
    const WaveOptions options{.tolerance = 1e-8, .record = true, .end = 8 * tau};
    const auto on = scene.follow(scene.change("off", "on"), {{current}}, options);
    const double amplified = final * gain / (1 + gain);
    std::size_t looked_at = 0;
    for (const auto& point : on.wave.points) {
        if (point.time < 1e-3 * tau) continue;
        ++looked_at;
        EXPECT_NEAR(measure(current, point.point), final - amplified * std::exp(-point.time / tau),
                    1e-3 * final)
            << point.time / tau;
    }
    EXPECT_GT(looked_at, 30U);
    const auto off = scene.follow(scene.change("on", "off"), {{current}}, options);
    for (const auto& point : off.wave.points) {
        if (point.time < 1e-3 * tau) continue;
        EXPECT_NEAR(measure(current, point.point), amplified * std::exp(-point.time / tau),
                    1e-3 * final)
            << point.time / tau;
    }
}

}  // namespace
}  // namespace gapwright
