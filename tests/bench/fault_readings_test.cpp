// What some faults do to a link's readings, as physics has it.
#include <gtest/gtest.h>

#include "bench/faulty_readings.hpp"
#include "bench/meter/reading_scale.hpp"

namespace gapwright {
namespace {

using testing_support::example_at_bench;
using testing_support::LinkAtBench;
using testing_support::read_with;
using testing_support::readings_with;

TEST(FaultReadings, OpenEmitterResistorLeavesTheHammerAtRest) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    EXPECT_LT(at.dictionary.nominals[at.measurement("voltage at coil", "on")], 1);
    for (const char* state : {"on", "off"}) {
        EXPECT_NEAR(read_with(at, "R1 is open", "voltage at coil", state), 24, 0.05) << state;
    }
    EXPECT_LT(read_with(at, "R1 is open", "current P1", "on"), 1e-8);
    EXPECT_GT(at.dictionary.nominals[at.measurement("current P1", "on")], 5e-3);
}

TEST(FaultReadings, ReversedFlybackDiodeTakesTheCoilsVoltage) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    // It conducts from the supply: a diode's drop is all that the coil sees.
    const double left = read_with(at, "D1 is the wrong way round", "voltage at coil", "on");
    EXPECT_GT(left, 24 - 1.3);
    EXPECT_LT(left, 24 - 0.3);
    EXPECT_NEAR(read_with(at, "D1 is the wrong way round", "voltage at coil", "off"), 24, 0.3);
}

TEST(FaultReadings, WeakCouplerRaisesTheReceiversVoltage) {
    const LinkAtBench& at = example_at_bench("chime-bus");
    const auto m = at.measurement("voltage at data", "space");
    double before = at.dictionary.nominals[m];
    for (const Fault& fault : at.dictionary.faults) {  // weaker from cell to cell
        if (fault.suspect != "U1 is weak") continue;
        const double now = readings_with(at, fault)[m];
        EXPECT_GE(now, before);
        before = now;
    }
    EXPECT_GT(before, 4);
}

TEST(FaultReadings, FaultsOfThePinsAndTheSupplies) {
    const LinkAtBench& hammer = example_at_bench("bell-hammer");
    EXPECT_NEAR(
        read_with(hammer, "Q1 is shorted from collector to emitter", "voltage at coil", "off"), 0,
        0.01);
    EXPECT_NEAR(read_with(hammer, "Q1.base is open", "voltage at coil", "on"), 24, 0.1);
    EXPECT_NEAR(read_with(hammer, "U1 is turned round", "voltage at coil", "on"), 24, 0.1);
    EXPECT_LT(read_with(hammer, "U1 is turned round", "current P1", "on"), 1e-8);
    EXPECT_NEAR(read_with(hammer, "the output supply is the wrong way round",
                          "voltage at output.supply", "off"),
                -24, 1e-6);
    // R3 open: nothing to the base's return but the junctions; bridged: nothing at all.
    EXPECT_NEAR(read_with(hammer, "R3 is bridged", "voltage at coil", "on"), 24, 0.05);
    const LinkAtBench& beat = example_at_bench("pendulum-beat");
    EXPECT_LT(read_with(beat, "stray light reaches U1", "voltage at beat", "cut"),
              beat.dictionary.nominals[beat.measurement("voltage at beat", "cut")]);
    EXPECT_NEAR(read_with(beat, "S1 stays open", "voltage at beat", "clear"),
                beat.dictionary.nominals[beat.measurement("voltage at beat", "cut")], 0.01);
}

// All nodes clipped together see any way across, behind whatever part it begins or ends.
TEST(FaultReadings, WhatJoinsTheSidesShowsFromAllToAll) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    const auto all = at.measurement("isolation", unpowered);
    const auto turned = at.measurement("isolation reversed", unpowered);
    EXPECT_TRUE(std::isinf(at.dictionary.nominals[all]));
    for (std::size_t i = 0; i < at.link.input.node_names.size(); ++i) {
        for (std::size_t o = 0; o < at.link.output.node_names.size(); ++o) {
            Fault fault;
            fault.suspect = "a whisker";
            fault.bridge = SideBridge{static_cast<Node>(i), static_cast<Node>(o), exactly(10.2e3)};
            const auto readings = readings_with(at, fault);
            EXPECT_NEAR(readings[all], 10.2e3, 2) << i << ' ' << o;
            EXPECT_NEAR(readings[turned], 10.2e3, 2) << i << ' ' << o;
            // From the node at which it ends, nothing lies between.
            for (std::size_t m = 0; m < at.dictionary.measurements.size(); ++m) {
                const Measurement& of = at.dictionary.measurements[m];
                if (!crosses_gap(of) || (of.all_input && of.all_output)) continue;
                EXPECT_GT(readings[m], 10.2e3 - 2);
                const bool its_end = of.all_output ? of.plus == fault.bridge->input
                                                   : of.minus == fault.bridge->output;
                if (its_end) {
                    EXPECT_NEAR(readings[m], 10.2e3, 2) << of.measure;
                }
            }
        }
    }
}

TEST(FaultReadings, BothIsOneAfterTheOther) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    const auto named = [&](std::string_view suspect) -> const Fault& {
        return *std::ranges::find(at.dictionary.faults, suspect, &Fault::suspect);
    };
    const Fault pair = both(named("R1 is open"), named("Q1 is shorted from collector to emitter"));
    EXPECT_EQ(pair.suspect, "R1 is open, and Q1 is shorted from collector to emitter");
    EXPECT_EQ(pair.parts.size(), 2U);
    const auto readings = readings_with(at, pair);
    EXPECT_LT(readings[at.measurement("current P1", "on")], 1e-8);
    EXPECT_NEAR(readings[at.measurement("voltage at coil", "off")], 0, 0.01);
    Fault across;
    across.suspect = "the sides are joined";
    across.bridge = SideBridge{.resistance = exactly(1)};
    const Fault bridged = both(across, named("R1 is open"));
    ASSERT_TRUE(bridged.bridge.has_value());
    EXPECT_LT(readings_with(at, bridged)[at.measurement("current P1", "on")], 1e-8);
}

}  // namespace
}  // namespace gapwright
