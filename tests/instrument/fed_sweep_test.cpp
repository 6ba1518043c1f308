// Sweeps with a second supply: a receiver's current over the current of what lights it.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>

#include "instrument/sweep.hpp"
#include "sweep_scene.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

void expect_transfer(const SweepResult& result, const SweepPlan& plan) {
    ASSERT_EQ(result.end, SweepEnd::complete) << result.step << ": " << result.message;
    ASSERT_EQ(result.points.size(), plan.currents.size());
    for (const SweepPoint& point : result.points) {
        const double truth = SimulatedReceiver{}.current(point.set_current);
        EXPECT_NEAR(point.received, truth, 1e-3 * truth);
        const double drop = plan.meter == MeterPlace::across_shunt ? plan.shunt * truth : 0;
        EXPECT_NEAR(point.received_voltage, 5 - drop, 1e-3);
    }
}

TEST(FedSweep, ReadsATransferAcrossAShunt) {
    FakeScene scene(fed());
    const SweepPlan plan = fed_plan_of(10);
    const SweepResult result = scene.run(plan);
    expect_transfer(result, plan);
    EXPECT_EQ(result.output, OutputOff::confirmed);
    EXPECT_EQ(result.feed_output, OutputOff::confirmed);
    EXPECT_EQ(result.feed_identity, "BENCH,SUPPLY-2,0003,1.0");
    EXPECT_FALSE(scene.bench.output_is_on());
}

TEST(FedSweep, ReadsATransferInSeriesThroughSockets) {
    BenchSettings settings = fed();
    settings.leads = MeterLeads::series;
    SocketScene scene(settings);
    SweepPlan plan = SocketScene::quick(fed_plan_of(5), 20);
    plan.meter = MeterPlace::in_series;
    expect_transfer(scene.run(plan), plan);
    EXPECT_FALSE(scene.bench.output_is_on());
}

// What is fed is fed before it is lit, and dark before it is let go.
TEST(FedSweep, LightsLastAndSwitchesTheLightOffFirst) {
    FakeScene scene(fed());
    bool fed_first = false;
    const auto look = [&](const SweepPoint&, std::size_t done, std::size_t) {
        if (done == 1) fed_first = scene.bench.output_is_on(Role::feed);
    };
    EXPECT_EQ(scene.run(fed_plan_of(3), {}, look).end, SweepEnd::complete);
    EXPECT_TRUE(fed_first);
    const auto log = scene.bench.log(Role::feed);
    const auto on = std::ranges::find(log, "OUTP ON");
    const std::vector<std::string> expected = {"*IDN?", "*IDN?",      "OUTP OFF", "OUTP?",
                                               "*CLS",  "CURR 0.025", "CURR?",    "VOLT 5",
                                               "VOLT?", "SYST:ERR?"};
    EXPECT_EQ(std::vector<std::string>(log.begin(), on), expected);
}

TEST(FedSweep, AtItsCurrentLimitTheSecondSupplyIsToldApart) {
    BenchSettings settings = fed();
    settings.receiver.ratio = 4;  // 76 mA at 20 mA
    settings.leads = MeterLeads::series;
    FakeScene scene(settings);
    SweepPlan plan = fed_plan_of(5);
    plan.meter = MeterPlace::in_series;
    const SweepResult result = scene.run(plan);
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_NE(result.message.find("second supply is at its current limit, 25 mA"),
              std::string::npos)
        << result.message;
    EXPECT_GE(result.points.size(), 1U);
    EXPECT_LE(scene.bench.highest_received(), 25e-3);
    EXPECT_FALSE(scene.bench.output_is_on());
    EXPECT_EQ(result.feed_output, OutputOff::confirmed);
}

TEST(FedSweep, ProgressThatThrowsLeavesBothOutputsOff) {
    FakeScene scene(fed());
    const auto defect = [&](const SweepPoint&, std::size_t done, std::size_t) {
        EXPECT_TRUE(scene.bench.output_is_on(Role::supply));
        EXPECT_TRUE(scene.bench.output_is_on(Role::feed));
        if (done == 2) throw std::runtime_error("a defect");
    };
    EXPECT_THROW(scene.run(fed_plan_of(5), {}, defect), std::runtime_error);
    EXPECT_FALSE(scene.bench.output_is_on());
}

// One that cannot be reached keeps nobody from switching the other one off.
TEST(FedSweep, ASupplyThatVanishesLeavesTheOtherOff) {
    for (const Role gone : {Role::supply, Role::feed}) {
        SocketScene scene(fed());
        SweepPlan plan = SocketScene::quick(fed_plan_of(10), 20);
        plan.off_longest = 1;
        SteadyClock clock;
        const auto vanish = [&](const SweepPoint&, std::size_t done, std::size_t) {
            if (done == 3) scene.server.vanish(gone);
        };
        const SweepResult result = run_sweep(scene.instruments(), plan, clock, {}, vanish);
        EXPECT_EQ(result.end, SweepEnd::failed);
        EXPECT_TRUE(result.output_may_be_on());
        const Role other = gone == Role::supply ? Role::feed : Role::supply;
        EXPECT_FALSE(scene.bench.output_is_on(other));
        EXPECT_TRUE(scene.bench.output_is_on(gone));  // the truth, which nobody could have told
        ASSERT_TRUE(result.feed_output);
        const OutputOff others = other == Role::feed ? *result.feed_output : result.output;
        const OutputOff its = gone == Role::feed ? *result.feed_output : result.output;
        EXPECT_EQ(others, OutputOff::confirmed);
        EXPECT_NE(output_words(its, "the second supply").find("THE SECOND SUPPLY'S OUTPUT MAY"),
                  std::string::npos);
    }
}

TEST(FedSweep, IsRefusedBeyondTheFedPartsLimits) {
    struct UnfitFeed {
        void (*spoil)(SweepPlan&);
        std::string told;
    };
    const UnfitFeed unfit[] = {
        {[](SweepPlan& p) { p.feed->voltage = 31; }, "above the fed part's largest voltage, 30 V"},
        {[](SweepPlan& p) { p.feed->voltage = p.feed->largest_voltage = 61; }, "extra-low"},
        {[](SweepPlan& p) { p.feed->current_limit = 51e-3; }, "largest current, 50 mA"},
        {[](SweepPlan& p) { p.feed->largest_power = 0.1; }, "largest power, 100 mW"},
        {[](SweepPlan& p) { p.feed->voltage = NAN; }, "at least"},
        {[](SweepPlan& p) { p.feed->largest_power = NAN; }, "must be known"},
        {[](SweepPlan& p) { p.shunt = 0; }, "must be stated"},
        {[](SweepPlan& p) { p.meter = MeterPlace::across_part; }, "in series"},
        {[](SweepPlan& p) { p.meter = MeterPlace::none; }, "in series"},
    };
    for (const auto& [spoil, told] : unfit) {
        SweepPlan plan = fed_plan_of(5);
        spoil(plan);
        FakeScene scene(fed());
        const SweepResult result = scene.run(plan);
        EXPECT_EQ(result.end, SweepEnd::refused);
        EXPECT_NE(result.message.find(told), std::string::npos) << result.message;
        EXPECT_TRUE(scene.bench.log(Role::supply).empty());
        EXPECT_TRUE(scene.bench.log(Role::feed).empty());
    }
}

// Answers that come after their time, once or always.
TEST(LateAnswers, AreToldAsLateWithHowLate) {
    for (const double by : {2.5, 3.0, 5.5}) {
        BenchSettings settings;
        settings.slow_by = by;
        FakeScene scene(settings);
        const SweepResult result = scene.run(plan_of(5));
        EXPECT_EQ(result.end, SweepEnd::failed);
        EXPECT_EQ(result.fault, InstrumentFault::late) << by << ": " << result.message;
        EXPECT_GE(result.latest_answer, by - 1e-9);
        EXPECT_LE(result.latest_answer, by + 2.1) << "the one before may be counted with it";
        EXPECT_NE(result.message.find("answers come late"), std::string::npos) << result.message;
        EXPECT_FALSE(scene.bench.was_ever_on());
        SweepPlan patient = plan_of(5);
        patient.patience.answer = std::ceil(2 * result.latest_answer);
        FakeScene again(settings);
        EXPECT_EQ(again.run(patient).end, SweepEnd::complete);
    }
}

TEST(LateAnswers, OneThatIsLateIsAskedForAgainAndNoted) {
    BenchSettings settings;
    settings.late_by = 3;
    settings.mishaps = {{Mishap::late, Role::supply, 20}};
    FakeScene scene(settings);
    const SweepResult result = scene.run(plan_of(5));
    EXPECT_EQ(result.end, SweepEnd::complete) << result.message;
    EXPECT_EQ(scene.bench.mishaps_happened(), 1U);
    EXPECT_NEAR(result.latest_answer, 3, 0.01);
}

}  // namespace
}  // namespace gapwright
