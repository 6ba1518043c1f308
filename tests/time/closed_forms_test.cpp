// Waveforms against closed forms of the textbooks: charging through a resistor, current in a
// winding, a winding let go through a diode, a first-order receiver.
#include <gtest/gtest.h>

#include <cmath>

#include "device/constants.hpp"
#include "device/junction.hpp"
#include "support/link_text.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {
namespace {

// One input side with a contact and what `paths` and `parts` add; the output side is the least that
// a link may have.
std::string switched(const std::string& paths, const std::string& parts,
                     const std::string& supply = "10 V") {
    return R"(title = "closed form"
[input]
supply = ")" +
           supply + R"("
paths = [)" +
           paths + R"(, "supply > R9 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R8 > U1 > return"]
[parts]
R8 = { kind = "resistor", value = "1 kΩ" }
R9 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
S1 = { kind = "contact", closed_resistance = "1 µΩ", open_resistance = "1 GΩ" }
)" + parts +
           R"(
[states]
off = { S1 = "open" }
on = { S1 = "closed" }
)";
}

struct Run {
    Link link;
    LinkCircuit circuit;
    SpecimenWave wave;

    double value(const Probe& probe, const WavePoint& point) const {
        return measure(probe, point.point);
    }
    Probe node(const std::string& name) const {
        return {.kind = Probe::Kind::voltage,
                .side = Side::input,
                .ports = {{*link.input.find_node(name), Node::side_return, {}}}};
    }
    Probe current(const std::string& part) const {
        return circuit.of(*link.find_part(part), Side::input)->current();
    }
};

Run run_of(const std::string& text, std::size_t from, std::size_t to, double end,
           const std::vector<std::pair<std::string, double>>& levels = {}) {
    const auto link = read_link(std::make_shared<const SourceText>("test.link.toml", text), "");
    if (!link) throw std::runtime_error(link.error()[0].message);
    auto circuit = build_circuit(*link);
    EXPECT_TRUE(circuit.has_value());
    Run run{*link, *circuit, {}};
    std::vector<WaveWatch> watches;
    for (const auto& [name, level] : levels) watches.push_back({run.node(name), level});
    const Specimen specimen = nominal_specimen(run.circuit, condition_ranges(run.link));
    auto wave = specimen_wave(
        run.circuit.circuit, specimen,
        {.from = static_cast<StateIndex>(from), .changes = {{0, static_cast<StateIndex>(to)}}},
        watches, {.tolerance = 1e-8, .record = true, .end = end});
    if (!wave) throw std::runtime_error(wave.error().message);
    run.wave = std::move(*wave);
    return run;
}

TEST(ClosedForms, ResistorChargesCapacitor) {
    const auto run =
        run_of(switched(R"("supply > S1 > R1 > top", "top > C1 > return", "top > R2 > return")",
                        R"(R1 = { kind = "resistor", value = "10 kΩ" }
R2 = { kind = "resistor", value = "1 GΩ" }
C1 = { kind = "capacitor", value = "100 nF" })"),
               0, 1, 10e-3, {{"top", 7.0}});
    // v(t) = V·(1 − e^{−t/RC}), R both resistors in parallel, from what leaks while open.
    const double share = 1e9 / (1e9 + 10e3);
    const double tau = 10e3 * share * 100e-9;
    const double start = run.wave.wave.first[0];
    for (const auto& point : run.wave.wave.points) {
        if (point.time == 0) continue;
        const double goal = 10 * share;
        const double expected = goal + (start - goal) * std::exp(-point.time / tau);
        EXPECT_NEAR(run.value(run.node("top"), point), expected, 1e-6 * 10) << point.time;
    }
    ASSERT_EQ(run.wave.wave.crossings.size(), 1u);
    const double crossing = tau * std::log((10 * share - start) / (10 * share - 7));
    EXPECT_NEAR(run.wave.wave.crossings[0].at, crossing, 1e-6 * crossing);
}

TEST(ClosedForms, CurrentRisesInAWinding) {
    const auto run = run_of(
        switched(R"("supply > S1 > K1 > return")",
                 R"(K1 = { kind = "coil", resistance = "720 Ω", inductance = "0.9 H" })", "24 V"),
        0, 1, 10e-3);
    const double tau = 0.9 / 720;
    const double start = 24 / 1e9;
    for (const auto& point : run.wave.wave.points) {
        if (point.time == 0) continue;
        const double goal = 24.0 / 720;
        const double expected = goal + (start - goal) * std::exp(-point.time / tau);
        EXPECT_NEAR(run.value(run.current("K1"), point), expected, 1e-6 * goal) << point.time;
    }
}

// The usual textbook form with a diode that drops a constant V: i(t) = (I + V/R)·e^{−tR/L} − V/R.
// As steep a diode as its law allows: its drop moves by 4 % meanwhile, 1.2e-4 of the current.
TEST(ClosedForms, WindingLetGoThroughADiode) {
    const auto run =
        run_of(switched(R"("supply > S1 > coil", "coil > K1 > return", "return > D1 > coil")",
                        R"(K1 = { kind = "coil", resistance = "720 Ω", inductance = "0.9 H" }
D1 = { kind = "diode", forward = "0.7 V at 10 mA", ideality = 0.35, series_resistance = "0 Ω" })",
                        "240 V"),
               1, 0, 8e-3);
    const double r = 720;
    const double first = 240.0 / r;
    for (const auto& point : run.wave.wave.points) {
        const double expected = (first + 0.7 / r) * std::exp(-point.time * r / 0.9) - 0.7 / r;
        if (point.time == 0 || expected < 0.05 * first) continue;
        EXPECT_NEAR(run.value(run.current("K1"), point), expected, 2e-4 * first) << point.time;
    }
}

}  // namespace
}  // namespace gapwright
