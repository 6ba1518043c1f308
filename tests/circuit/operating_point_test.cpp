// Operating points of small and of hard networks.
#include "circuit/operating_point.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace gapwright {
namespace {

constexpr Node ground = Node::side_return;
Node node(unsigned k) {
    return static_cast<Node>(k);
}

// A network under construction together with its figures.
struct Bench {
    Network network;
    std::vector<double> values;

    Slot figure(double value) {
        values.push_back(value);
        return static_cast<Slot>(values.size() - 1);
    }
    Node add_node() { return static_cast<Node>(network.nodes++); }
    void source(Node plus, double volts, double ohms = 0) {
        network.elements.push_back(Branch{
            .from = ground, .to = plus, .voltage = figure(volts), .resistance = figure(ohms)});
    }
    void resistor(Node from, Node to, double ohms) {
        network.elements.push_back(
            Branch{.from = from, .to = to, .voltage = {}, .resistance = figure(ohms)});
    }
    void diode(Node anode, Node cathode, double saturation = 1e-14, double ideality = 1) {
        network.elements.push_back(
            JunctionElement{.from = anode,
                            .to = cathode,
                            .card = {.saturation_current = figure(saturation),
                                     .ideality = figure(ideality),
                                     .series_resistance = figure(0),
                                     .bandgap = figure(1.12),
                                     .temperature_exponent = figure(3)},
                            .forward_voltage = {},
                            .forward_current = {}});
    }
    void transistor(Node collector, Node base, Node emitter, double gain = 200) {
        network.elements.push_back(TransistorElement{.from = collector,
                                                     .to = emitter,
                                                     .base = base,
                                                     .pnp = false,
                                                     .card = {.transport_current = figure(1e-14),
                                                              .gain = figure(gain),
                                                              .reverse_gain = figure(4),
                                                              .early_voltage = figure(80),
                                                              .knee_current = figure(0.2),
                                                              .leak_current = figure(0),
                                                              .leak_ideality = figure(1.6),
                                                              .collector_resistance = figure(0),
                                                              .gain_exponent = figure(1.5)},
                                                     .gain = {}});
    }
    std::expected<SidePoint, NotSettled> solve(double temperature = 298.15) const {
        return operating_point(network, Side::input, values, {.temperature = temperature}, {});
    }
};

TEST(OperatingPoint, DividesAVoltage) {
    Bench b;
    const Node top = b.add_node();
    const Node middle = b.add_node();
    b.source(top, 9);
    b.resistor(top, middle, 2000);
    b.resistor(middle, ground, 1000);
    const auto point = b.solve();
    ASSERT_TRUE(point);
    EXPECT_NEAR(point->voltage(middle), 3.0, 1e-12);
    EXPECT_NEAR(point->currents[0], 3e-3, 1e-15);
}

TEST(OperatingPoint, SourceResistanceTakesItsShare) {
    Bench b;
    const Node top = b.add_node();
    b.source(top, 9, 2);
    b.resistor(top, ground, 88);
    const auto point = b.solve();
    ASSERT_TRUE(point);
    EXPECT_NEAR(point->voltage(top), 8.8, 1e-12);
}

TEST(OperatingPoint, DiodesAtEveryTemperatureAndFarOverload) {
    for (double t = 218.15; t <= 398.15; t += 15) {
        for (const double volts : {-100.0, 0.0, 0.3, 5.0, 60.0, 400.0}) {
            for (const double ohms : {1.0, 1e3, 1e6, 1e9}) {
                Bench b;
                const Node top = b.add_node();
                const Node anode = b.add_node();
                b.source(top, volts);
                b.resistor(top, anode, ohms);
                b.diode(anode, ground);
                const auto point = b.solve(t);
                ASSERT_TRUE(point) << t << " K, " << volts << " V, " << ohms << " Ω";
                const double balance = (volts - point->voltage(anode)) / ohms - point->currents[2];
                EXPECT_LE(std::abs(balance), 1e-12 + 1e-9 * std::abs(point->currents[2]));
            }
        }
    }
}

// A regenerative pair: each base hangs on the other's collector, so that a blind step finds no way.
TEST(OperatingPoint, CrossCoupledTransistorsSettle) {
    Bench b;
    const Node supply = b.add_node();
    const Node c1 = b.add_node();
    const Node c2 = b.add_node();
    const Node b1 = b.add_node();
    const Node b2 = b.add_node();
    b.source(supply, 9);
    b.resistor(supply, c1, 1000);
    b.resistor(supply, c2, 1100);
    b.resistor(c1, b2, 22000);
    b.resistor(c2, b1, 22000);
    b.transistor(c1, b1, ground);
    b.transistor(c2, b2, ground);
    for (const double t : {218.15, 298.15, 398.15}) EXPECT_TRUE(b.solve(t)) << t;
}

// A chain of high-gain stages, each driving the next.
TEST(OperatingPoint, LongCascadeSettles) {
    Bench b;
    const Node supply = b.add_node();
    b.source(supply, 24);
    Node base = b.add_node();
    b.resistor(supply, base, 1e6);
    for (int stage = 0; stage < 12; ++stage) {
        const Node collector = b.add_node();
        b.transistor(collector, base, ground, 400);
        b.resistor(supply, collector, 4700);
        base = b.add_node();
        b.resistor(collector, base, 10000);
    }
    b.resistor(base, ground, 10000);
    EXPECT_TRUE(b.solve());
}

TEST(OperatingPoint, HundredDiodesInSeries) {
    Bench b;
    Node here = b.add_node();
    b.source(here, 80);
    for (int k = 0; k < 100; ++k) {
        const Node next = b.add_node();
        b.diode(here, next);
        here = next;
    }
    b.resistor(here, ground, 100);
    const auto point = b.solve();
    ASSERT_TRUE(point);
    EXPECT_NEAR((80 - point->voltage(here)) / 100, 0.68, 0.1);
}

TEST(OperatingPoint, StartNeverChangesTheAnswer) {
    Bench b;
    const Node top = b.add_node();
    const Node anode = b.add_node();
    b.source(top, 5);
    b.resistor(top, anode, 1000);
    b.diode(anode, ground);
    const auto plain = b.solve();
    ASSERT_TRUE(plain);
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> any(-50, 50);
    for (int k = 0; k < 100; ++k) {
        SidePoint start = *plain;
        for (auto& x : start.unknowns) x = any(random);
        const auto point = operating_point(b.network, Side::input, b.values, {}, {}, &start);
        ASSERT_TRUE(point);
        EXPECT_NEAR(point->voltage(anode), plain->voltage(anode), 1e-12);
    }
}

// Two ideal sources of different voltage across each other have no operating point: the answer must
// be a failure that names a node, never a number.
TEST(OperatingPoint, ContradictionIsAFailure) {
    Bench b;
    const Node top = b.add_node();
    b.source(top, 5);
    b.source(top, 9);
    const auto point = b.solve();
    ASSERT_FALSE(point);
    EXPECT_EQ(point.error().node, node(1));
}

}  // namespace
}  // namespace gapwright
