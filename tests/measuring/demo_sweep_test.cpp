// Parts swept on the bench that is not there: what comes of it lies where the card says, and says
// that it is simulated.
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "card/card_reading.hpp"
#include "card/key.hpp"
#include "fit/part_model.hpp"
#include "instrument/sweep.hpp"
#include "measuring/demo_bench.hpp"
#include "measuring/demo_part.hpp"
#include "measuring/swept_part.hpp"
#include "measuring/swept_points.hpp"

namespace gapwright {
namespace {

Description card(const std::string& name) {
    auto file = read_card(name);
    EXPECT_TRUE(file) << name;
    return file->card;
}

struct DemoSweep {
    SweepPlan plan;
    SweepResult result;
    SweptPoints points;
};

DemoSweep swept(const SweptPart& part, const SweepWishes& wishes, const std::string& specimen) {
    const auto plan = plan_for(part, wishes);
    EXPECT_TRUE(plan) << to_text(plan.error());
    auto demo = DemoPart::of(part, demo_seed(specimen));
    EXPECT_TRUE(demo) << to_text(demo.error());
    DemoBench bench(std::move(*demo), *plan, demo_seed(specimen));
    DemoClock clock;
    DemoSweep sweep{.plan = *plan, .result = {}, .points = {}};
    sweep.result = run_sweep({.supply = bench.connect(DemoRole::supply),
                              .meter = bench.connect(DemoRole::meter),
                              .table = {},
                              .feed = bench.connect(DemoRole::feed)},
                             *plan, clock, {});
    EXPECT_EQ(sweep.result.end, SweepEnd::complete) << sweep.result.message;
    EXPECT_EQ(sweep.result.output, OutputOff::confirmed);
    EXPECT_EQ(sweep.result.feed_output.has_value(), plan->feed.has_value());
    sweep.points = swept_points(part, sweep.result, specimen, true);
    return sweep;
}

const SweepWishes with_meter = {.has_meter = true};
SweepWishes with_shunt(double ohms, double to) {
    return {.to = to, .shunt = exactly(ohms), .has_meter = true};
}

void expect_marked(const DemoSweep& sweep) {
    ASSERT_FALSE(sweep.points.points.empty());
    for (const auto& point : sweep.points.points) {
        EXPECT_TRUE(point.origin.starts_with("simulated")) << point.origin;
    }
    EXPECT_TRUE(sweep.result.supply_identity.starts_with("SIMULATED"));
    EXPECT_NE(points_csv(sweep.points.points).find("simulated"), std::string::npos);
}

TEST(DemoSweep, OfAnLedLiesWithinItsCardsSpread) {
    const auto part = *swept_part(card("red-led"), false, false);
    const auto& forward = part.part.at(Key::forward);
    double lowest = 10;
    double highest = 0;
    for (int k = 0; k < 20; ++k) {
        SweepWishes wishes = with_meter;
        wishes.to = 20e-3;
        const auto sweep = swept(part, wishes, std::to_string(k));
        expect_marked(sweep);
        const double volts = *sweep.points.points.back().find("forward_voltage");
        // (the supply shows a step more or less; the meter has a noise of 0.02 %)
        EXPECT_NEAR(*sweep.points.points.back().find("forward_current"), 20e-3, 1.1e-4);
        EXPECT_GE(volts, forward.spread.lowest * 0.999);
        EXPECT_LE(volts, forward.spread.highest * 1.001);
        lowest = std::min(lowest, volts);
        highest = std::max(highest, volts);
    }
    EXPECT_GT(highest - lowest, 0.5 * (forward.spread.highest - forward.spread.lowest))
        << "specimens differ";
}

TEST(DemoSweep, OfOneSpecimenIsTheSameEveryTime) {
    const auto part = *swept_part(card("four-pin-coupler-b"), true, false);
    const auto once = swept(part, with_shunt(100, 10e-3), "third");
    const auto again = swept(part, with_shunt(100, 10e-3), "third");
    const auto other = swept(part, with_shunt(100, 10e-3), "fourth");
    EXPECT_EQ(points_csv(once.points.points), points_csv(again.points.points));
    EXPECT_NE(points_csv(once.points.points), points_csv(other.points.points));
}

TEST(DemoSweep, OfACouplerHasItsCardsTransferRatio) {
    const auto part = *swept_part(card("four-pin-coupler-b"), true, false);
    const auto& ctr = part.part.at(Key::ctr);
    for (int k = 0; k < 8; ++k) {
        SweepWishes wishes = with_shunt(10, 5e-3);
        const auto sweep = swept(part, wishes, std::to_string(k));
        expect_marked(sweep);
        const auto& last = sweep.points.points.back();
        const double ratio = *last.find("collector_current") / *last.find("forward_current");
        // (5 mA in steps of 0.1 mA; what shapes the curve differs as well)
        EXPECT_GE(ratio, ctr.spread.lowest * 0.9);
        EXPECT_LE(ratio, ctr.spread.highest * 1.1);
        EXPECT_NEAR(*last.find("collector_emitter_voltage"), 5 - 10 * ratio * 5e-3, 0.01);
    }
}

TEST(DemoSweep, OfReceiversIsInTheLightOfTheirEmitter) {
    const auto led = card("infrared-led");
    const auto photo = *swept_receiver(card("infrared-receiver"), led, "infrared-led", 20e-3, true);
    // 8 mW/sr at 20 mA; 20 mm away: 20 W/m²
    EXPECT_NEAR(light_at(photo, 20e-3), 20, 1e-9);
    const auto sweep = swept(photo, with_shunt(100, 20e-3), "a");
    expect_marked(sweep);
    EXPECT_NEAR(*sweep.points.points.back().find("irradiance"), 20, 0.01);
    EXPECT_EQ(sweep.points.points.back().find("forward_current"), nullptr)
        << "a fit would take it for a setting";
    EXPECT_NE(sweep.points.points.back().origin.find("infrared-led at 20 mm"), std::string::npos);

    const auto ldr =
        *swept_receiver(card("ldr-5mm"), card("white-lamp-led"), "white-lamp-led", 50e-3, true);
    const auto slow = swept(ldr, with_shunt(1000, 20e-3), "a");
    EXPECT_GE(slow.plan.settle, 0.2);
    const double lux = *slow.points.points.back().find("illuminance");
    EXPECT_NEAR(lux, 600, 1e-6);  // 1.5 cd at 50 mm
    // 9 kΩ (5 .. 13 kΩ) at 10 lx, gamma 0.7 (0.6 .. 0.8), the emitter's light 2/3 to 3/2 of it
    const double ohms = *slow.points.points.back().find("resistance");
    EXPECT_GE(ohms, 5e3 * std::pow(90.0, -0.8) * 0.98);
    EXPECT_LE(ohms, 13e3 * std::pow(40.0, -0.6) * 1.02);
}

TEST(DemoSweep, OfAZenerDiodeIsItsBreakdown) {
    auto zener = card("signal-diode");
    zener.kind = Kind::zener;
    zener.figures[Key::zener_voltage].spread = {5.1, 4.85, 5.36};
    zener.figures[Key::zener_current].spread = exactly(5e-3);
    zener.figures[Key::zener_resistance].spread = exactly(10);
    zener.figures[Key::power].spread = exactly(0.4);
    const auto part = *swept_part(zener, false, true);
    SweepWishes wishes = with_meter;
    wishes.to = 5e-3;
    const auto sweep = swept(part, wishes, "z");
    const auto& last = sweep.points.points.back();
    EXPECT_EQ(last.find("forward_voltage"), nullptr);
    EXPECT_NEAR(*last.find("reverse_current"), 5e-3, 1e-9);
    EXPECT_GE(*last.find("reverse_voltage"), 4.85 * 0.999);
    EXPECT_LE(*last.find("reverse_voltage"), 5.36 * 1.001);
}

TEST(DemoSweep, OfATransistorIsItsGain) {
    for (const char* name : {"npn-small", "pnp-small"}) {
        const auto part = *swept_part(card(name), true, false);
        SweepWishes wishes = with_shunt(10, 0.2e-3);
        wishes.from = 0.1e-3;
        wishes.points = 2;
        const auto sweep = swept(part, wishes, "t");
        expect_marked(sweep);
        const auto& last = sweep.points.points.back();
        const double gain = *last.find("collector_current") / *last.find("base_current");
        const auto& stated = part.part.at(Key::gain).spread;
        // The Early effect adds up to 5 V/V_A, the knee takes as much at tens of milliamperes.
        EXPECT_GE(gain, 0.7 * stated.lowest) << name;
        EXPECT_LE(gain, 1.15 * stated.highest) << name;
        EXPECT_NE(sweep.points.remarks.back().find("collector over base current"),
                  std::string::npos);
        EXPECT_LE(sweep.plan.feed->current_limit * sweep.plan.feed->voltage,
                  part.part.at(Key::power).spread.lowest);
    }
}

TEST(SweptPart, OfKindsThatDoNotGoTogetherIsRefused) {
    EXPECT_FALSE(swept_part(card("npn-small"), false, false));
    EXPECT_FALSE(swept_part(card("red-led"), true, false));
    EXPECT_FALSE(swept_part(card("red-led"), false, true));
    EXPECT_FALSE(swept_part(card("infrared-receiver"), true, false));
    const auto led = card("infrared-led");
    EXPECT_FALSE(swept_receiver(card("infrared-receiver"), led, "x", 20e-3, false));
    EXPECT_FALSE(swept_receiver(card("infrared-receiver"), led, "x", 0, true));
    EXPECT_FALSE(swept_receiver(card("ldr-5mm"), led, "x", 20e-3, true)) << "no candelas";
    EXPECT_FALSE(swept_receiver(card("red-led"), led, "x", 20e-3, true));
    const auto coupler = *swept_part(card("four-pin-coupler-b"), true, false);
    EXPECT_FALSE(plan_for(coupler, with_meter)) << "nothing reads the collector";
    EXPECT_FALSE(plan_for(coupler, {.shunt = exactly(100)})) << "no meter";
}

TEST(SweptPart, PlansKeepWithinBothCards) {
    const auto coupler = card("four-pin-coupler-b");
    const auto plan = plan_for(*swept_part(coupler, true, false),
                               {.feed_voltage = 12, .shunt = exactly(100), .has_meter = true});
    ASSERT_TRUE(plan);
    ASSERT_TRUE(plan->feed);
    EXPECT_LE(plan->feed->voltage * plan->feed->current_limit,
              coupler.at(Key::receiver_power).spread.lowest);
    EXPECT_LE(plan->feed->current_limit, coupler.at(Key::collector_current).spread.lowest);
    EXPECT_LE(plan->currents.back(), coupler.at(Key::forward_current).spread.lowest);
    EXPECT_TRUE(find_unfit(*plan).empty());
    const auto high = plan_for(*swept_part(coupler, true, false),
                               {.feed_voltage = 71, .shunt = exactly(100), .has_meter = true});
    ASSERT_TRUE(high);
    EXPECT_FALSE(find_unfit(*high).empty());
}

// Points carry what the supply's steps leave open, by how much the quantity follows the current.
TEST(SweptPoints, CarryTheUncertaintyOfCoarseCurrents) {
    const auto part = *swept_part(card("red-led"), false, false);
    SweepResult result;
    result.steps.supply_current = 1e-3;
    SweepPoint point;
    point.set_current = point.current = 2e-3;
    point.current_from = CurrentFrom::setting;
    point.current_uncertainty = 0.145;
    point.voltage = 1.8;
    SweepPoint vague = point;
    vague.set_current = vague.current = 0.5e-3;
    vague.current_uncertainty = 0.58;
    SweepPoint fine = point;
    fine.current_from = CurrentFrom::reading;
    fine.current_uncertainty = 0.005;
    result.points = {vague, point, fine};
    const auto swept = swept_points(part, result, "", false);
    ASSERT_EQ(swept.points.size(), 2U);
    ASSERT_TRUE(swept.points[0].uncertainty);
    // n·V_T + I·R_s = 2·25.7 mV + 2 mA·2 Ω = 55 mV a neper: 14.5 % are 8 mV, 0.4 % of 1.8 V; the
    // meter's 0.3 % besides
    EXPECT_NEAR(*swept.points[0].uncertainty, std::hypot(0.003, 0.0044), 0.0005);
    EXPECT_FALSE(swept.points[1].uncertainty) << "as good as a fit assumes";
    EXPECT_TRUE(swept.points[0].origin.empty());
    ASSERT_EQ(swept.remarks.size(), 2U);
    EXPECT_NE(swept.remarks[1].find("--from \"1 mA\""), std::string::npos) << swept.remarks[1];
}

}  // namespace
}  // namespace gapwright
