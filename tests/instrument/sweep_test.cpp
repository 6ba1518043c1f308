// Sweeps of a simulated LED: right ones, refused ones, and ends that must be told.
#include "instrument/sweep.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sweep_scene.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

void expect_on_curve(const SweepResult& result, const SweepPlan& plan, const SimulatedLed& led) {
    ASSERT_EQ(result.end, SweepEnd::complete) << result.step << ": " << result.message;
    ASSERT_EQ(result.points.size(), plan.currents.size());
    for (std::size_t k = 0; k < plan.currents.size(); ++k) {
        const SweepPoint& point = result.points[k];
        EXPECT_NEAR(point.current, plan.currents[k], 1e-6 + 1e-5 * plan.currents[k]);
        EXPECT_NEAR(point.voltage, led.voltage(plan.currents[k]), 1e-4);
        EXPECT_TRUE(point.settled);
    }
}

TEST(Sweep, ThirtyPointsLieOnTheCurveThroughSockets) {
    SocketScene scene({});
    const SweepPlan plan = SocketScene::quick(plan_of(30));
    const SweepResult result = scene.run(plan);
    expect_on_curve(result, plan, SimulatedLed{});
    EXPECT_EQ(result.output, OutputOff::confirmed);
    EXPECT_TRUE(scene.bench.was_ever_on());
    EXPECT_FALSE(scene.bench.output_is_on());
    EXPECT_EQ(result.supply_identity, "BENCH,SUPPLY-1,0001,1.0");
    EXPECT_EQ(result.meter_identity, "BENCH,METER-1,0002,1.0");
    EXPECT_NEAR(scene.bench.highest_current(), 20e-3, 1e-9);
}

TEST(Sweep, WithoutAMeterTheSupplyMeasures) {
    FakeScene scene({});
    SweepPlan plan = plan_of(30);
    plan.meter = MeterPlace::none;
    SimulatedLed with_leads;
    with_leads.series += scene.bench.settings().lead;  // which its terminals do not leave out
    expect_on_curve(scene.run(plan), plan, with_leads);
    EXPECT_TRUE(scene.bench.log(Role::meter).empty());
    EXPECT_FALSE(scene.bench.output_is_on());
}

TEST(Sweep, RestsWithTheOutputOff) {
    FakeScene scene({});
    SweepPlan plan = plan_of(5);
    plan.rest = 2;
    expect_on_curve(scene.run(plan), plan, SimulatedLed{});
    EXPECT_GT(scene.clock.now(), 8);
    EXPECT_EQ(std::ranges::count(scene.bench.log(Role::supply), "OUTP ON"), 5);
}

TEST(Sweep, KeepsTheVoltageWherePowerAllowsNoMore) {
    FakeScene scene({});
    SweepPlan plan = plan_of(5);
    plan.largest_power = 30e-3;
    EXPECT_EQ(voltage_limit_at(plan, 0.02), 1.5);
    EXPECT_EQ(scene.run(plan).end, SweepEnd::complete);
    EXPECT_EQ(std::ranges::count(scene.bench.log(Role::supply), "VOLT 1.5"), 1);
    plan.largest_power = 20e-3;  // 1 V at 20 mA: less than the LED needs
    const SweepResult result = scene.run(plan);
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_EQ(result.fault, InstrumentFault::implausible);
    EXPECT_NE(result.message.find("voltage limit, 1 V for the part's largest power"),
              std::string::npos)
        << result.message;
    EXPECT_FALSE(scene.bench.output_is_on());
}

TEST(Sweep, ReadsBothLimitsBackBeforeSwitchingOn) {
    FakeScene scene({});
    scene.run(plan_of(3));
    const auto log = scene.bench.log(Role::supply);
    const auto on = std::ranges::find(log, "OUTP ON");
    ASSERT_NE(on, log.end());
    const std::vector<std::string> before(log.begin(), on);
    const std::vector<std::string> expected = {"*IDN?", "*IDN?",       "OUTP OFF", "OUTP?",
                                               "*CLS",  "CURR 0.0005", "CURR?",    "VOLT 3",
                                               "VOLT?", "CURR 0.0005", "CURR?",    "SYST:ERR?"};
    EXPECT_EQ(before, expected);
}

TEST(Sweep, AnOpenPartIsTold) {
    BenchSettings settings;
    settings.led.open = true;
    FakeScene scene(settings);
    const SweepResult result = scene.run(plan_of(5));
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_NE(result.message.find("open or reversed"), std::string::npos) << result.message;
    EXPECT_EQ(result.output, OutputOff::confirmed);
    EXPECT_FALSE(scene.bench.output_is_on());
}

struct Unfit {
    std::string name;
    std::function<void(SweepPlan&)> spoil;
    std::string told;
};
void PrintTo(const Unfit& unfit, std::ostream* out) {
    *out << unfit.name;
}
class UnfitPlan : public testing::TestWithParam<Unfit> {};

TEST_P(UnfitPlan, IsRefusedWithNothingSent) {
    SweepPlan plan = plan_of(5);
    ASSERT_TRUE(find_unfit(plan).empty());
    GetParam().spoil(plan);
    FakeScene scene({});
    const SweepResult result = scene.run(plan);
    EXPECT_EQ(result.end, SweepEnd::refused);
    EXPECT_NE(result.message.find(GetParam().told), std::string::npos) << result.message;
    EXPECT_EQ(result.output, OutputOff::untouched);
    EXPECT_TRUE(scene.bench.log(Role::supply).empty());
    EXPECT_TRUE(scene.bench.log(Role::meter).empty());
}

INSTANTIATE_TEST_SUITE_P(
    Plans, UnfitPlan,
    testing::Values(
        Unfit{"current", [](SweepPlan& p) { p.largest_current = 19e-3; }, "largest current, 19 mA"},
        Unfit{"voltage", [](SweepPlan& p) { p.largest_voltage = 2; }, "largest voltage, 2 V"},
        Unfit{"high", [](SweepPlan& p) { p.voltage_limit = p.largest_voltage = 61; }, "extra-low"},
        Unfit{"power", [](SweepPlan& p) { p.largest_power = 1e-3; }, "largest power"},
        Unfit{"nan", [](SweepPlan& p) { p.currents[2] = NAN; }, "at least"},
        Unfit{"nan_limit", [](SweepPlan& p) { p.voltage_limit = NAN; }, "voltage limit"},
        Unfit{"nan_power", [](SweepPlan& p) { p.largest_power = NAN; }, "must be known"},
        Unfit{"negative", [](SweepPlan& p) { p.currents[0] = -1e-3; }, "at least"},
        Unfit{"falling", [](SweepPlan& p) { std::ranges::reverse(p.currents); }, "rise"},
        Unfit{"none", [](SweepPlan& p) { p.currents.clear(); }, "1 to 1000"},
        Unfit{"time", [](SweepPlan& p) { p.settle = -1; }, "a time"},
        Unfit{"readings", [](SweepPlan& p) { p.most_readings = 1; }, "readings"}),
    [](const auto& each) { return each.param.name; });

TEST(Sweep, TakesNoLongerThanItMay) {
    FakeScene scene({});
    SweepPlan plan = plan_of(100);
    plan.settle = 1;
    plan.longest = 10;
    const SweepResult result = scene.run(plan);
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_NE(result.message.find("longer than it may"), std::string::npos);
    EXPECT_LT(scene.clock.now(), 12);
    EXPECT_FALSE(scene.bench.output_is_on());
}

TEST(Sweep, ProgressThatThrowsLeavesTheOutputOff) {
    FakeScene scene({});
    const auto defect = [&](const SweepPoint&, std::size_t done, std::size_t) {
        EXPECT_TRUE(scene.bench.output_is_on());
        if (done == 3) throw std::runtime_error("a defect");
    };
    EXPECT_THROW(scene.run(plan_of(5), {}, defect), std::runtime_error);
    EXPECT_TRUE(scene.bench.was_ever_on());
    EXPECT_FALSE(scene.bench.output_is_on());
}

TEST(Sweep, ASupplyThatVanishesMayStillBeOnAndThatIsTold) {
    SocketScene scene({});
    SweepPlan plan = SocketScene::quick(plan_of(10), 20);
    plan.off_longest = 1;
    SteadyClock clock;
    const auto vanish = [&](const SweepPoint&, std::size_t done, std::size_t) {
        if (done == 4) scene.server.vanish(Role::supply);
    };
    const SweepResult result = run_sweep(scene.instruments(), plan, clock, {}, vanish);
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_GE(result.points.size(), 4U);
    EXPECT_TRUE(result.output_may_be_on());
    EXPECT_NE(output_words(result.output).find("MAY STILL BE ON"), std::string::npos);
    EXPECT_NE(output_words(result.output).find("by hand"), std::string::npos);
    EXPECT_TRUE(scene.bench.output_is_on());  // the truth, which nobody could have told
}

TEST(Sweep, ASupplyThatDoesNotSwitchOffIsTold) {
    BenchSettings settings;
    settings.never_off = true;
    FakeScene scene(settings);
    const SweepResult result = scene.run(plan_of(5));
    EXPECT_EQ(result.output, OutputOff::unconfirmed);
    EXPECT_TRUE(result.output_may_be_on());
    EXPECT_TRUE(scene.bench.output_is_on());
    EXPECT_LT(scene.clock.now(), 60);  // and it does not try for ever
}

// The supply hears no order on the connection that there is, and an old "0" waits in it: taken for
// the answer to OUTP?, it would say that the output is off.
TEST(Sweep, AnOldAnswerIsNotTakenForAnOutputThatIsOff) {
    FakeScene clean({});
    clean.run(plan_of(5));
    const auto log = clean.bench.log(Role::supply);
    const auto last = std::find(log.rbegin(), log.rend(), "MEAS:CURR?");
    const auto place = static_cast<std::size_t>(log.rend() - last);
    ASSERT_EQ(log[place], "SYST:ERR?");
    ASSERT_EQ(log[place + 1], "OUTP OFF");
    BenchSettings settings;
    settings.mishaps = {{Mishap::stale, Role::supply, place + 1}};
    FakeScene scene(settings);
    const SweepResult result = scene.run(plan_of(5));
    EXPECT_EQ(scene.bench.mishaps_happened(), 1U);
    EXPECT_EQ(result.output, OutputOff::confirmed);
    EXPECT_FALSE(scene.bench.output_is_on());
}

TEST(Sweep, NothingAtTheAddressIsTold) {
    SocketScene scene({});
    SweepInstruments instruments = scene.instruments();
    scene.server.vanish(Role::supply);
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    SteadyClock clock;
    const SweepResult result =
        run_sweep(instruments, SocketScene::quick(plan_of(3)), clock, std::stop_token());
    EXPECT_EQ(result.end, SweepEnd::failed);
    EXPECT_EQ(result.fault, InstrumentFault::refused);
    EXPECT_NE(result.message.find("the supply: could not connect to tcp:127.0.0.1:"),
              std::string::npos)
        << result.message;
    EXPECT_EQ(result.output, OutputOff::untouched);
}

TEST(Sweep, SpeaksTheWordsOfTheTable) {
    BenchSettings settings;
    settings.other_words = true;
    FakeScene plain(settings);
    const SweepResult without = plain.run(plan_of(5));
    EXPECT_EQ(without.end, SweepEnd::failed);  // it does not know OUTP?
    EXPECT_FALSE(plain.bench.was_ever_on());

    FakeScene scene(settings);
    scene.table = *read_command_table(std::make_shared<const SourceText>("supplies.toml", R"(
[[instrument]]
matches = "supply-1"
current_unit = "mA"
output_on = "OUTP:STAT 1"
output_off = "OUTP:STAT 0"
output_state = "OUTP:STAT?"
settle = "0.5 s"
)"));
    const SweepPlan plan = plan_of(5);
    expect_on_curve(scene.run(plan), plan, SimulatedLed{});
    EXPECT_FALSE(scene.bench.output_is_on());
    EXPECT_GT(scene.clock.now(), 2.4);
}

TEST(Sweep, FindsOutThatMessagesEndWithCrLf) {
    BenchSettings settings;
    settings.answers_crlf_only = true;
    FakeScene scene(settings);
    const SweepPlan plan = plan_of(5);
    expect_on_curve(scene.run(plan), plan, SimulatedLed{});
    EXPECT_FALSE(scene.bench.output_is_on());
}

}  // namespace
}  // namespace gapwright
