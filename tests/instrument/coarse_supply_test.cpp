// Supplies that set and show currents in coarse steps, shunts, and what is known of the current.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "instrument/reading_step.hpp"
#include "instrument/sweep.hpp"
#include "sweep_scene.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

TEST(ReadingStep, IsWhatAllReadingsHaveInCommon) {
    const auto step = [](std::vector<double> readings) { return reading_step(readings); };
    EXPECT_EQ(step({}), 0);
    EXPECT_DOUBLE_EQ(step({0.002, 0.001, 0.013}), 1e-3);
    EXPECT_DOUBLE_EQ(step({0.002, 0.0013}), 1e-4);
    EXPECT_DOUBLE_EQ(step({1.5e-7}), 1e-8);
    EXPECT_DOUBLE_EQ(step({0.005, 0.010, 0.015, 0.030, 0.045}), 5e-3) << "five tell";
    EXPECT_DOUBLE_EQ(step({0.005, 0.010}), 1e-3) << "two do not";
    EXPECT_DOUBLE_EQ(step({-0.25, 0.5}), 0.01);
    EXPECT_EQ(step({1.0 / 3}), 0) << "it comes in no steps";
    EXPECT_EQ(step({NAN}), 0);
    EXPECT_EQ(step({INFINITY, 1}), 0);
    EXPECT_EQ(step({0, 0}), INFINITY) << "nothing was seen but zero";
}

// A plan as the command makes it where nobody says where to begin.
SweepPlan free_plan() {
    SweepPlan plan = plan_of(15);
    for (std::size_t k = 0; k < 15; ++k) {
        plan.currents[k] = 0.15e-3 * std::pow(100.0, static_cast<double>(k) / 14);
    }
    plan.may_begin_higher = true;
    return plan;
}

TEST(CoarseSupply, OfOneMilliampereStartsWhereItCan) {
    BenchSettings settings;
    settings.set_step = settings.read_step = 1e-3;
    settings.noise = 0;
    FakeScene scene(settings);
    const SweepResult result = scene.run(free_plan());
    ASSERT_EQ(result.end, SweepEnd::complete) << result.step << ": " << result.message;
    EXPECT_FALSE(scene.bench.output_is_on());
    EXPECT_DOUBLE_EQ(result.held_from, 1e-3);
    EXPECT_DOUBLE_EQ(result.steps.supply_current, 1e-3);
    ASSERT_GE(result.points.size(), 6U);
    EXPECT_DOUBLE_EQ(result.points.front().set_current, 1e-3);
    EXPECT_DOUBLE_EQ(result.points.back().set_current, 15e-3);
    for (const SweepPoint& point : result.points) {
        // What the LED truly had is within twice the uncertainty of what is said of it.
        const double off = std::abs(SimulatedLed{}.voltage(point.current) - point.voltage);
        EXPECT_LE(off, 1e-4) << point.set_current;
        const bool coarse = 1e-3 > 0.1 * point.set_current + 1e-12;
        EXPECT_EQ(point.current_from, coarse ? CurrentFrom::setting : CurrentFrom::reading);
        EXPECT_NEAR(point.current_uncertainty, 0.29e-3 / point.set_current, 1e-3);
    }
    for (std::size_t k = 1; k < result.points.size(); ++k) {
        EXPECT_GT(result.points[k].set_current, result.points[k - 1].set_current);
    }
}

// It sets finely, but shows its current in steps of 1 mA: the set one counts, and is right.
TEST(CoarseSupply, ReadingIsNotTakenForTheCurrent) {
    BenchSettings settings;
    settings.read_step = 1e-3;
    FakeScene scene(settings);
    const SweepPlan plan = free_plan();
    const SweepResult result = scene.run(plan);
    ASSERT_EQ(result.end, SweepEnd::complete) << result.message;
    EXPECT_EQ(result.held_from, 0);
    ASSERT_EQ(result.points.size(), plan.currents.size());
    for (const SweepPoint& point : result.points) {
        const double truth = SimulatedLed{}.current(point.voltage);
        if (point.current_from == CurrentFrom::setting) {
            EXPECT_NEAR(point.current, truth, 0.01 * truth);
            EXPECT_GE(point.current_uncertainty, 0.28e-3 / point.set_current);
        } else {
            EXPECT_GE(point.set_current, 10e-3);
        }
        EXPECT_LE(std::abs(point.current - truth), 2 * point.current_uncertainty * point.current);
    }
}

// One that shows no current at all is not taken for one that gives none.
TEST(CoarseSupply, ThatShowsNothingLeavesTheCurrentOpen) {
    BenchSettings settings;
    settings.read_step = 0.1;
    FakeScene scene(settings);
    SweepPlan plan = plan_of(3);
    plan.currents = {0.2e-3, 0.5e-3, 1e-3};
    const SweepResult result = scene.run(plan);
    ASSERT_EQ(result.end, SweepEnd::complete) << result.message;
    for (const SweepPoint& point : result.points) {
        EXPECT_EQ(point.current_from, CurrentFrom::setting);
        EXPECT_EQ(point.current_uncertainty, INFINITY);
    }
}

TEST(CoarseSupply, ThatIsAskedForLessThanItHoldsSaysFromWhere) {
    BenchSettings settings;
    settings.set_step = 1e-3;
    FakeScene scene(settings);
    SweepPlan plan = free_plan();
    plan.may_begin_higher = false;  // --from was given
    const SweepResult result = scene.run(plan);
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_EQ(result.fault, InstrumentFault::implausible);
    EXPECT_DOUBLE_EQ(result.held_from, 1e-3);
    EXPECT_NE(result.message.find("from 1 mA on it holds what it is sent"), std::string::npos)
        << result.message;
    EXPECT_FALSE(scene.bench.was_ever_on());
    plan.currents.erase(plan.currents.begin(),
                        std::ranges::lower_bound(plan.currents, result.held_from));
    EXPECT_EQ(FakeScene(settings).run(plan).end, SweepEnd::complete);
}

TEST(CoarseSupply, NeverHoldsMoreThanThePartMayHave) {
    BenchSettings settings;
    settings.set_step = 2e-3;
    FakeScene scene(settings);
    SweepPlan plan = plan_of(2);
    plan.currents = {10e-3, 19.2e-3};
    plan.largest_current = 19.5e-3;
    const SweepResult result = scene.run(plan);
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_NE(result.message.find("holds 20 mA, above the part's largest current"),
              std::string::npos)
        << result.message;
    EXPECT_FALSE(scene.bench.output_is_on());
}

TEST(Shunt, TellsTheCurrentThatACoarseSupplyDoesNot) {
    BenchSettings settings;
    settings.read_step = 1e-3;
    settings.leads = MeterLeads::shunt;
    settings.shunt = 47;
    FakeScene scene(settings);
    SweepPlan plan = free_plan();
    plan.meter = MeterPlace::across_shunt;
    plan.shunt = 47;
    plan.shunt_uncertainty = 0.006;
    const SweepResult result = scene.run(plan);
    ASSERT_EQ(result.end, SweepEnd::complete) << result.message;
    for (const SweepPoint& point : result.points) {
        EXPECT_EQ(point.current_from, CurrentFrom::meter);
        EXPECT_NEAR(point.current, point.set_current, 1e-4 * point.set_current);
        EXPECT_NEAR(point.current_uncertainty, 0.006, 1e-3);
        // the supply's voltage less the drops, but for its leads
        const double led = SimulatedLed{}.voltage(point.current) + 0.1 * point.current;
        EXPECT_NEAR(point.voltage, led, 1e-3);
    }
}

TEST(Shunt, OfAnotherValueThanStatedIsTold) {
    BenchSettings settings;
    settings.leads = MeterLeads::shunt;
    settings.shunt = 10;
    FakeScene scene(settings);
    SweepPlan plan = plan_of(5);
    plan.meter = MeterPlace::across_shunt;
    plan.shunt = 1;
    const SweepResult result = scene.run(plan);
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_NE(result.message.find("is the resistor that it is across the stated one"),
              std::string::npos)
        << result.message;
    EXPECT_FALSE(scene.bench.output_is_on());
}

TEST(Ammeter, TellsTheCurrentItself) {
    BenchSettings settings;
    settings.leads = MeterLeads::series;
    FakeScene scene(settings);
    SweepPlan plan = plan_of(5);
    plan.meter = MeterPlace::in_series;
    const SweepResult result = scene.run(plan);
    ASSERT_EQ(result.end, SweepEnd::complete) << result.message;
    EXPECT_NEAR(result.points.back().current, 20e-3, 1e-6);
}

}  // namespace
}  // namespace gapwright
