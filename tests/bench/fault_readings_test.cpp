// What some faults do to a link's readings, as physics has it.
#include <gtest/gtest.h>

#include "bench/faulty_readings.hpp"
#include "bench/reading_scale.hpp"

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
    EXPECT_LT(read_with(beat, "daylight reaches U1", "voltage at beat", "cut"),
              beat.dictionary.nominals[beat.measurement("voltage at beat", "cut")]);
    EXPECT_NEAR(read_with(beat, "S1 stays open", "voltage at beat", "clear"),
                beat.dictionary.nominals[beat.measurement("voltage at beat", "cut")], 0.01);
}

TEST(FaultReadings, WhatJoinsTheSidesShowsInTheirIsolation) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    const FaultDictionary& d = at.dictionary;
    const auto m = at.measurement("isolation return to return", unpowered);
    EXPECT_TRUE(std::isinf(d.nominals[m]));
    const auto range_of = [&](std::string_view suspect) {
        const auto f = std::ranges::find(d.faults, suspect, &Fault::suspect) - d.faults.begin();
        const auto [low, high] = std::ranges::minmax(d.readings[static_cast<std::size_t>(f)].of(m));
        return std::pair{unscaled(MeasurementKind::isolation, low),
                         unscaled(MeasurementKind::isolation, high)};
    };
    EXPECT_GT(range_of("the two returns are joined").first, 0.04);
    EXPECT_LT(range_of("the two returns are joined").second, 5.01);
    EXPECT_GT(range_of("the gap leaks").first, 4.9);
    EXPECT_LT(range_of("the gap leaks").second, 201);
    EXPECT_GT(range_of("R1 is open").first, 20e6);  // over range
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
    const Fault bridged = both(named("the two returns are joined"), named("R1 is open"));
    ASSERT_TRUE(bridged.bridge.has_value());
    EXPECT_LT(readings_with(at, bridged)[at.measurement("current P1", "on")], 1e-8);
}

}  // namespace
}  // namespace gapwright
