// Nominal readings of small links against sums by hand: what the meter itself does to the circuit.
#include "bench/meter/bench_circuit.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "bench/hand_readings.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"

namespace gapwright {
namespace {

using testing_support::bench_text;
using testing_support::cards_conditions;
using testing_support::index_of;
using testing_support::Readings;
using testing_support::two_parts;
using testing_support::with;

TEST(BenchCircuit, VoltmeterLoadsADivider) {
    // 10 V halved by two of 1 MΩ is 5 V behind 500 kΩ; the meter is 10 MΩ.
    const Readings plain(bench_text());
    EXPECT_NEAR(plain.at("voltage at tap", "on"), 5 * 10 / 10.5, 1e-4);
    EXPECT_NEAR(plain.at("voltage at tap", "off"), 4.7619, 1e-4);
    // Across the upper one from the supply's side: the same by symmetry.
    EXPECT_NEAR(plain.at("voltage across R2", "on"), 4.7619, 1e-4);
    // What the supply holds is not loaded.
    EXPECT_NEAR(plain.at("voltage at output.supply", "on"), 10, 1e-6);
}

TEST(BenchCircuit, StatedInputResistanceCounts) {
    const Readings poor(bench_text() + "[meter]\ninput_resistance = \"1 MΩ\"\n");
    EXPECT_NEAR(poor.at("voltage at tap", "on"), 5 * 1 / 1.5, 1e-4);
    EXPECT_NEAR(poor.at("voltage across R2", "on"), 10.0 / 3, 1e-4);
}

TEST(BenchCircuit, AmmeterBurdensWhatItMeasures) {
    EXPECT_NEAR(Readings(bench_text(), false).at("current W1", "on"), 10e-3, 1e-8);
    // 10 mA are taken on the range to 20 mA: 0.2 V there is 10 Ω.
    EXPECT_NEAR(Readings(bench_text()).at("current W1", "on"), 10 / 1010.0, 1e-8);
    const Readings poor(bench_text() + "[meter]\nburden_voltage = \"1 V\"\n");
    EXPECT_NEAR(poor.at("current W1", "off"), 10 / 1050.0, 1e-8);
    // The load in the supply's lead: the other side's supply, of 9 V into 2 kΩ with S1 open.
    EXPECT_NEAR(Readings(bench_text()).at("current input.supply", "off"), 9 / 2010.0, 2e-8);
}

TEST(BenchCircuit, ResistanceIsOfAllThatIsJoined) {
    const Readings r(bench_text());
    // 10 kΩ ∥ 10 kΩ, and beside them R5, W1 and R8.
    EXPECT_NEAR(r.at("resistance across R6", unpowered), 1 / (2 / 10e3 + 1 / 3e3), 3);
    EXPECT_TRUE(std::ranges::none_of(r.measurements(), [](const Measurement& m) {
        return m.measure == "resistance across R7";  // the same points
    }));
    // R5 and what stands beside it: R8 + 5 kΩ + W1, and the rest by far larger.
    EXPECT_NEAR(r.at("resistance across R5", unpowered), 1 / (1 / 1e3 + 1 / 7e3), 2);
    // The whole output side seen from its supply: W1, R5 + R6 ∥ R7 + R8, the divider; no junction
    // conducts.
    EXPECT_NEAR(r.at("resistance at output.supply", unpowered), 1 / (1 / 1e3 + 1 / 7e3 + 1 / 2e6),
                2);
}

TEST(BenchCircuit, JunctionBesideAResistorDoesNotConductAtTheTestVoltage) {
    const std::string beside = R"(, "tap > D1 > return")";
    const std::string diode =
        R"(D1 = { kind = "diode", forward = "0.7 V at 1 mA", ideality = 1.8 })";
    const double alone = Readings(two_parts("", "")).at("resistance at tap", unpowered);
    const double with_diode = Readings(two_parts(beside, diode)).at("resistance at tap", unpowered);
    EXPECT_NEAR(alone, 10e3, 10);  // R2 hangs on a dark receiver alone
    EXPECT_NEAR(with_diode, alone, 0.01 * alone);
    EXPECT_LT(with_diode, alone);
}

// Where the meter's line, 3 V behind 3 kΩ, meets the diode's law by its definition.
double junction_by_bisection(double beside) {
    const double slope = 1.8 * 1.380649e-23 * 298.15 / 1.602176634e-19;
    const double saturation = 1e-3 / std::expm1((0.7 - 1e-3 * 0.5) / slope);
    double low = 0;
    double high = 3;
    for (int k = 0; k < 200; ++k) {
        const double current = 0.5 * (low + high) * 1e-3;  // through the diode, A
        const double voltage = slope * std::log1p(current / saturation) + 0.5 * current;
        const double given = (3 - voltage) / 3e3 - voltage / beside;
        (current < given ? low : high) = 0.5 * (low + high);
    }
    const double current = low * 1e-3;
    return slope * std::log1p(current / saturation) + 0.5 * current;
}

TEST(BenchCircuit, JunctionTestMeetsTheDiodesLaw) {
    const Readings r(bench_text());
    // The 2 MΩ beside it end at a supply that is off, which W1 joins to the return.
    EXPECT_NEAR(r.at("diode test D1", unpowered), junction_by_bisection(2.001e6), 1e-4);
    const std::string parallel = R"(, "tap > D1 > return")";
    const std::string diode =
        R"(D1 = { kind = "diode", forward = "0.7 V at 1 mA", ideality = 1.8, series_resistance = "0.5 Ω" })";
    EXPECT_NEAR(Readings(two_parts(parallel, diode)).at("diode test D1", unpowered),
                junction_by_bisection(10e3), 1e-4);
}

TEST(BenchCircuit, ReversedJunctionBlocks) {
    const Readings r(with(bench_text(), "anode > D1 > cathode", "cathode > D1 > anode"));
    const Readings good(bench_text());
    const auto shows = [&](const Readings& of, Node plus, Node minus) {
        std::vector<Measurement> one = {
            of.measurements()[index_of(of.measurements(), "diode test D1", unpowered)]};
        one.front().plus = plus;
        one.front().minus = minus;
        const std::vector<double> none;
        const auto read =
            *nominal_readings(of.link(), {of.link().meter, one, none, cards_conditions});
        return shown(of.link().meter, MeasurementKind::junction, read.front());
    };
    const auto& m = good.measurements()[index_of(good.measurements(), "diode test D1", unpowered)];
    EXPECT_LT(shows(good, m.plus, m.minus), 0.75);
    // Of the 3 V, what the 2 MΩ beside it leave: over range on a meter whose range ends at 2 V, and
    // what the meter shows on one whose range does not.
    const double left = 3.0 * 2.0 / 2.003;
    EXPECT_NEAR(shows(good, m.minus, m.plus), left, 2e-3);
    // A reversed diode between the same points.
    const auto anode = *good.link().output.find_node("anode");
    const auto cathode = *good.link().output.find_node("cathode");
    EXPECT_NEAR(
        shows(r, *r.link().output.find_node("anode"), *r.link().output.find_node("cathode")), left,
        2e-3);
    EXPECT_LT(shows(good, anode, cathode), 0.75);
}

// The meter's own states are none in which the link spends its life: they have a share of none of
// it, and no share is asked for that is not there.
TEST(BenchCircuit, EveryStateHasItsShareOfTheServiceLife) {
    const auto file = std::string(PROJECT_FOLDER "/examples/clock-tower/chime-bus.link.toml");
    const auto link = read_link_file(file);
    ASSERT_TRUE(link) << to_text(link.error());
    ASSERT_FALSE(link->shares().empty());
    const auto measurements = measurements_of(*link);
    const auto circuits = bench_circuits(*link, link->meter, measurements, {});
    ASSERT_TRUE(circuits);
    for (const auto& bench : *circuits) {
        const Circuit& circuit = bench.circuit.circuit;
        // Without power no light counts, faded or not.
        if (circuit.shares.empty()) continue;
        EXPECT_EQ(circuit.shares.size(), circuit.states.size());
    }
    const auto isolation = isolation_circuit(*link, link->meter, measurements,
                                             {Node::side_return, Node::side_return, exactly(1e3)});
    ASSERT_TRUE(isolation);
    EXPECT_TRUE(isolation->circuit.circuit.shares.empty());
}

}  // namespace
}  // namespace gapwright
