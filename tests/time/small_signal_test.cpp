// Small sinusoids against a textbook low-pass, against differences of points at rest, and against
// the spectrum of a small step followed in time.
#include "waveform/small_signal.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/link_text.hpp"
#include "time/analogue.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::with;

// A coupler's receiver follows a logic output, about `low` or `high`, which lie close together.
std::string coupled() {
    return R"(title = "Coupled"
[input]
paths = ["supply > P1 > pin", "pin > R1 > U1 > return", "pin > R3 > top", "top > R4 > return", "top > C1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
P1 = { kind = "logic output", low = "5 V", high = "5.002 V", resistance = "10 Ω" }
R1 = { kind = "resistor", value = "3.9 kΩ" }
R3 = { kind = "resistor", value = "10 kΩ" }
R4 = { kind = "resistor", value = "30 kΩ" }
C1 = { kind = "capacitor", value = "100 nF" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "1 kΩ" }
[states]
low = { P1 = "low" }
high = { P1 = "high" }
[analogue]
state = "low"
drive = "P1"
swing = "0.5 V"
output = "signal"
)";
}

struct Solved {
    Link link;
    LinkCircuit circuit;
    Specimen specimen;
    AnalogueQuestion question;

    explicit Solved(const std::string& text)
        : link(link_from(text).value()),
          circuit(build_circuit(link).value()),
          specimen(nominal_specimen(circuit, condition_ranges(link))),
          question(analogue_question(link, circuit)) {}

    std::vector<StatePoint> rest(const std::vector<double>& values) const {
        return solve_link(circuit.circuit, values, specimen.conditions).value();
    }
    SmallSignal small(StateIndex state) const {
        return {circuit.circuit, specimen.values,       specimen.conditions,
                state,           rest(specimen.values), question.drive};
    }
    Probe input_node(const std::string& name) const {
        return {.kind = Probe::Kind::voltage,
                .side = Side::input,
                .ports = {{*link.input.find_node(name), Node::side_return, {}}}};
    }
    double output_at(double drive) const {
        auto values = specimen.values;
        values[to_index(question.level)] = drive;
        return measure(question.output, rest(values)[to_index(question.state)]);
    }
};

// C1 sees R3 and R4 in parallel: gain R4/(R3 + R4), −3 dB at 1/(2πRC).
// Driven by the supply, which has no resistance.
TEST(SmallSignals, LowPassOfATextbook) {
    std::string text = with(coupled(), "[input]\n", "[input]\nsupply = \"8 V\"\n");
    text = with(text, "pin > R3 > top", "supply > R3 > top");
    text = with(text, "drive = \"P1\"", "drive = \"supply\"");
    const Solved solved(text);
    const SmallSignal small = solved.small(StateIndex{});
    const Probe top = solved.input_node("top");
    const double gain = 30e3 / 40e3;
    EXPECT_NEAR(small.transfer(top, 0).real(), gain, 1e-12);
    EXPECT_NEAR(small.transfer(top, 0).imag(), 0, 1e-12);
    const double corner = 1 / (2 * std::numbers::pi * 7.5e3 * 100e-9);
    const auto found = small.bandwidth(top);
    ASSERT_TRUE(found);
    EXPECT_NEAR(*found, corner, 1e-8 * corner);
    for (const double f : {0.1 * corner, corner, 30 * corner}) {
        const auto expected = gain / std::complex<double>(1, f / corner);
        EXPECT_NEAR(std::abs(small.transfer(top, f) - expected), 0, 1e-12) << f;
    }
    EXPECT_EQ(std::abs(small.transfer(solved.question.output, 0)), 0)
        << "the supply drives no coupler here";
    EXPECT_FALSE(small.bandwidth(solved.question.output));
}

// Into resistances alone the same at every frequency, but for the emitter behind the same 10 Ω.
TEST(SmallSignals, FlatWhereNothingIsStoredOnTheWay) {
    const Solved solved(with(with(coupled(), ", \"top > C1 > return\"", ""),
                             "C1 = { kind = \"capacitor\", value = \"100 nF\" }\n", ""));
    const Probe top = solved.input_node("top");
    const SmallSignal small = solved.small(StateIndex{});
    EXPECT_NEAR(std::abs(small.transfer(top, 1e8)) / std::abs(small.transfer(top, 0)), 1, 2e-3);
    EXPECT_FALSE(small.bandwidth(top));
}

TEST(SmallSignals, AtRestAreDifferencesOfPointsAtRest) {
    const Solved solved(coupled());
    const double at = solved.specimen.values[to_index(solved.question.level)];
    const double step = 1e-3;
    const double slope = (solved.output_at(at + step) - solved.output_at(at - step)) / (2 * step);
    const auto gain = solved.small(solved.question.state).transfer(solved.question.output, 0);
    EXPECT_NEAR(gain.real(), slope, 1e-5 * std::abs(slope));
    EXPECT_LT(slope, -0.1) << "the coupler carries something";
}

// ∫ s′(t)·e^{−jωt} dt of a step response in straight pieces, per volt of the step.
std::complex<double> spectrum(const Trace& trace, double frequency, double step) {
    const double w = 2 * std::numbers::pi * frequency;
    std::complex<double> sum = 0;
    for (std::size_t k = 1; k < trace.times.size(); ++k) {
        const double half = 0.5 * w * (trace.times[k] - trace.times[k - 1]);
        const double middle = 0.5 * w * (trace.times[k] + trace.times[k - 1]);
        const double sinc = half > 0 ? std::sin(half) / half : 1;
        sum += (trace.values[k] - trace.values[k - 1]) * sinc * std::polar(1.0, -middle);
    }
    return sum / step;
}

// A step of 2 mV about 5 V is as good as a small signal; its two ends' transfers are averaged.
TEST(SmallSignals, AreTheSpectrumOfASmallStep) {
    const Solved solved(coupled());
    const auto run = specimen_wave(
        solved.circuit.circuit, solved.specimen,
        {.from = StateIndex{}, .changes = {{0, static_cast<StateIndex>(1)}}},
        {{.probe = solved.question.output, .trace = true}}, {.tolerance = 1e-9, .end = 200e-6});
    ASSERT_TRUE(run) << run.error().message;
    const SmallSignal before = solved.small(StateIndex{});
    const SmallSignal after = solved.small(static_cast<StateIndex>(1));
    const auto corner = before.bandwidth(solved.question.output);
    ASSERT_TRUE(corner);
    const double at_rest = std::abs(before.transfer(solved.question.output, 0));
    for (const double f : {0.1 * *corner, *corner, 4 * *corner}) {
        const auto expected = 0.5 * (before.transfer(solved.question.output, f) +
                                     after.transfer(solved.question.output, f));
        const auto found = spectrum(run->wave.traces[0], f, 2e-3);
        EXPECT_NEAR(std::abs(found - expected), 0, 1e-4 * at_rest) << f;
    }
}

// A light-dependent resistor has the slower of its two times, and is otherwise first-order.
TEST(SmallSignals, SlowReceiverIsOfFirstOrder) {
    const Solved solved(R"(title = "Cell"
[input]
supply = "5 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "330 Ω" }
R2 = { kind = "resistor", value = "1 kΩ" }
U1 = { kind = "pair", emitter = "white-lamp-led", distance = "30 mm", receiver = { kind = "light-dependent resistor", resistance = "9 kΩ at 10 lx", gamma = 0.7, dark_resistance = "1 MΩ", rise_time = "35 ms", decay_time = "20 ms" } }
[analogue]
drive = "supply"
swing = "0.5 V"
output = "signal"
)");
    const auto at = solved.rest(solved.specimen.values);
    const double light = at[0].light[0];
    ASSERT_GT(light, 10) << "above its reference decay is at its stated pace";
    const SmallSignal small = solved.small(StateIndex{});
    const double corner = 1 / (2 * std::numbers::pi * 35e-3);
    const auto found = small.bandwidth(solved.question.output);
    ASSERT_TRUE(found);
    EXPECT_NEAR(*found, corner, 1e-6 * corner);
    const double v = solved.specimen.values[to_index(solved.question.level)];
    const double slope = (solved.output_at(v + 1e-3) - solved.output_at(v - 1e-3)) / 2e-3;
    EXPECT_NEAR(small.transfer(solved.question.output, 0).real(), slope, 1e-5 * std::abs(slope));
}

}  // namespace
}  // namespace gapwright
