// A whole link: light goes one way, and fades at the largest current of any state.
#include "circuit/link_point.hpp"

#include <gtest/gtest.h>

#include "circuit/probe.hpp"

namespace gapwright {
namespace {

constexpr Node ground = Node::side_return;

// Emitter behind a resistor whose slot depends on the state; receiver behind a pull-up.
struct TestLink {
    Circuit circuit;
    std::vector<double> values;

    Slot figure(double value) {
        values.push_back(value);
        return static_cast<Slot>(values.size() - 1);
    }

    explicit TestLink(const std::vector<double>& input_resistances) {
        const Slot volts = figure(5);
        const Slot pull_up = figure(10000);
        const Junction<Slot> junction{.saturation_current = figure(1e-14),
                                      .ideality = figure(1.6),
                                      .series_resistance = figure(0),
                                      .bandgap = figure(1.43),
                                      .temperature_exponent = figure(3)};
        const Transistor<Slot> receiver{.transport_current = figure(1e-13),
                                        .gain = figure(300),
                                        .reverse_gain = figure(10),
                                        .early_voltage = figure(60),
                                        .knee_current = figure(30e-3),
                                        .leak_current = figure(2e-12),
                                        .leak_ideality = figure(1.6),
                                        .collector_resistance = figure(0),
                                        .gain_exponent = figure(1.5)};
        for (const double ohms : input_resistances) {
            StateNetworks state;
            state.input.nodes = 3;
            state.input.elements = {
                Branch{ground, Node{1}, volts, {}},
                Branch{Node{1}, Node{2}, {}, figure(ohms)},
                JunctionElement{Node{2}, ground, junction, {}, {}},
            };
            state.output.nodes = 4;
            state.output.elements = {
                Branch{ground, Node{1}, volts, {}},
                Branch{Node{1}, Node{2}, {}, pull_up},
                TransistorElement{.from = Node{2},
                                  .to = ground,
                                  .base = Node{3},
                                  .pnp = false,
                                  .card = receiver,
                                  .gain = {}},
                PhotocurrentElement{Node{2}, Node{3}, GapIndex{0}},
            };
            circuit.states.push_back(state);
        }
        Gap gap{.emitter = ElementIndex{2}, .kind = CouplerGap{}, .life = {}};
        gap.kind = CouplerGap{{.photocurrent_ratio = figure(4.5e-3),
                               .low_knee = figure(0.6e-3),
                               .high_knee = figure(0.12),
                               .temperature_coefficient = figure(-0.005),
                               .dark_current = figure(1e-10)}};
        gap.life = Life<Slot>{.to_80_percent = figure(1e8),
                              .at_current = figure(20e-3),
                              .at_temperature = figure(298.15),
                              .current_exponent = figure(1.5),
                              .activation_energy = figure(0.4),
                              .shape = figure(0.6)};
        circuit.gaps = {gap};
        circuit.slots = values.size();
    }
};

double receiver_current(const StatePoint& point) {
    return point.output.currents[2] + point.output.currents[3];
}

TEST(LinkPoint, MoreLightPullsLower) {
    const TestLink link({1e9, 10e3, 1e3});
    const auto points = solve_link(link.circuit, link.values, {});
    ASSERT_TRUE(points);
    EXPECT_NEAR((*points)[0].output.voltage(Node{2}), 5, 1e-2);
    EXPECT_LT((*points)[1].output.voltage(Node{2}), 4.9);
    EXPECT_LT((*points)[2].output.voltage(Node{2}), 0.3);
    EXPECT_GT((*points)[2].light[0], (*points)[1].light[0]);
}

TEST(LinkPoint, FadesAtTheLargestCurrentOfAnyState) {
    const TestLink alone({10e3});
    const TestLink driven({10e3, 200});
    const Conditions aged{.temperature = 298.15, .light = 0, .age = 1e8};
    const auto gently = solve_link(alone.circuit, alone.values, aged);
    const auto hard = solve_link(driven.circuit, driven.values, aged);
    ASSERT_TRUE(gently && hard);
    // The same small current in state 0, but an emitter that the other state has worn.
    EXPECT_LT((*hard)[0].light[0], 0.95 * (*gently)[0].light[0]);
}

// Light of a coupler is in proportion to what is left: faded against unfaded at the same currents.
double left_of(const TestLink& link, double age, std::size_t state) {
    const auto fresh = solve_link(link.circuit, link.values, {});
    const auto aged = solve_link(link.circuit, link.values, {.age = age});
    EXPECT_TRUE(fresh && aged);
    const double dark = 1e-10;
    return ((*aged)[state].light[0] - dark) / ((*fresh)[state].light[0] - dark);
}

// The emitter as good as dark in state 0 and lit in state 1: lit for a share of the time, it fades
// as one that is always lit does in that share of the time. By hand, since p = 1.5 and b = 0.6 act
// on the same product of share and time: left = exp(−(share · t/τ)^0.6).
TEST(LinkPoint, FadesByTheTimeInEachState) {
    const TestLink always({1e3});
    TestLink link({1e12, 1e3});
    constexpr double age = 3e8;
    for (const double lit : {0.0, 0.05, 0.5, 0.95, 1.0}) {
        link.circuit.shares = {1 - lit, lit};
        EXPECT_NEAR(left_of(link, age, 1), left_of(always, lit * age, 0), 1e-9) << lit;
    }
    // Lit a tenth of the time in each of two states and without supply for the rest.
    TestLink both({1e3, 1e3});
    both.circuit.shares = {0.1, 0.1};
    EXPECT_NEAR(left_of(both, age, 0), left_of(always, 0.2 * age, 0), 1e-9);
    // Not known: as if always at the most.
    link.circuit.shares = {};
    EXPECT_NEAR(left_of(link, age, 1), left_of(always, age, 0), 1e-9);
}

TEST(LinkPoint, StartGivesTheSameAnswer) {
    const TestLink link({1e9, 1e3});
    const auto first = solve_link(link.circuit, link.values, {});
    ASSERT_TRUE(first);
    const Conditions warm{.temperature = 330, .light = 0, .age = 0};
    const auto cold_start = solve_link(link.circuit, link.values, warm);
    const auto warm_start = solve_link(link.circuit, link.values, warm, &*first);
    ASSERT_TRUE(cold_start && warm_start);
    for (std::size_t s = 0; s < 2; ++s) {
        EXPECT_NEAR(receiver_current((*cold_start)[s]) / receiver_current((*warm_start)[s]), 1,
                    1e-9);
    }
}

TEST(LinkPoint, BalanceHoldsInEveryAnswer) {
    const TestLink link({1e9, 1e5, 1e3, 100});
    for (double t = 218.15; t <= 398.15; t += 20) {
        const auto points = solve_link(link.circuit, link.values, {.temperature = t});
        ASSERT_TRUE(points) << t;
        for (const auto& point : *points) {
            EXPECT_LE(point.input.residual, 1e-12 + 1e-9 * std::abs(point.input.currents[1]));
            EXPECT_LE(point.output.residual, 1e-12 + 1e-9 * std::abs(point.output.currents[1]));
        }
    }
}

TEST(Probe, PowerIsVoltageTimesCurrentOverAllPorts) {
    const TestLink link({1e3});
    const auto points = solve_link(link.circuit, link.values, {});
    ASSERT_TRUE(points);
    const Port port{.plus = Node{1},
                    .minus = Node{2},
                    .current = {{.element = ElementIndex{1}, .main = 1, .base = 0}}};
    const double i = measure({Probe::Kind::current, Side::output, {port}}, (*points)[0]);
    const double v = measure({Probe::Kind::voltage, Side::output, {port}}, (*points)[0]);
    const double p = measure({Probe::Kind::power, Side::output, {port, port}}, (*points)[0]);
    EXPECT_NEAR(v / i, 10000, 1e-5);
    EXPECT_NEAR(p, 2 * v * i, 1e-15);
}

}  // namespace
}  // namespace gapwright
