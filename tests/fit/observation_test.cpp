// What points say of a part: which quantity, at what, and what is missing.
#include "fit/observation.hpp"

#include <gtest/gtest.h>

#include "support/made_points.hpp"

namespace gapwright {
namespace {

using testing_support::point;
using Values = std::map<std::string, double, std::less<>>;

// A point that states a quantity with all that belongs to it.
struct Whole {
    std::string name;
    Kind kind;
    std::string column;
    Measured measured;
    Values values;
};

void PrintTo(const Whole& whole, std::ostream* out) {
    *out << whole.name;
}

const Values bench = {{"load_resistance", 1e3}, {"supply_voltage", 5.0}};
Values with(Values values, std::string_view key, double value) {
    values[std::string(key)] = value;
    return values;
}

std::vector<Whole> wholes() {
    const Values driven = with(with({}, "forward_current", 5e-3), "collector_emitter_voltage", 2.0);
    const Values lit = with(with({}, "irradiance", 10.0), "collector_emitter_voltage", 2.0);
    const Values dark = with({}, "collector_emitter_voltage", 10.0);
    using M = Measured;
    return {
        {"diode", Kind::diode, "forward_voltage", M::forward_voltage, {{"forward_current", 1e-3}}},
        {"led", Kind::led, "forward_voltage", M::forward_voltage, {{"forward_current", 1e-3}}},
        {"zener", Kind::zener, "forward_voltage", M::forward_voltage, {{"forward_current", 1e-3}}},
        {"emitter",
         Kind::coupler,
         "forward_voltage",
         M::forward_voltage,
         {{"forward_current", 1e-3}}},
        {"current", Kind::coupler, "collector_current", M::collector_current, driven},
        {"ratio", Kind::coupler, "ctr", M::collector_current, driven},
        {"lit", Kind::phototransistor, "collector_current", M::collector_current, lit},
        {"dark", Kind::coupler, "dark_current", M::dark_current, dark},
        {"unlit", Kind::phototransistor, "dark_current", M::dark_current, dark},
        {"cell",
         Kind::light_dependent_resistor,
         "resistance",
         M::resistance,
         {{"illuminance", 10.0}}},
        {"rise", Kind::coupler, "rise_time", M::rise_time, with(bench, "forward_current", 5e-3)},
        {"fall", Kind::coupler, "fall_time", M::fall_time, with(bench, "forward_current", 5e-3)},
        {"lit_rise", Kind::phototransistor, "rise_time", M::rise_time,
         with(bench, "irradiance", 10.0)},
        {"lit_fall", Kind::phototransistor, "fall_time", M::fall_time,
         with(bench, "irradiance", 10.0)},
    };
}

class EachMeasured : public testing::TestWithParam<Whole> {};

TEST_P(EachMeasured, IsUnderstoodWithWhatItWasMeasuredAt) {
    const Whole& whole = GetParam();
    auto given = point(with(whole.values, whole.column, 0.25));
    given.specimen = "third";
    const auto found = observations_of(whole.kind, {given});
    ASSERT_TRUE(found) << to_text(found.error());
    ASSERT_EQ(found->size(), 1U);
    const Observation& o = found->front();
    EXPECT_EQ(o.measured, whole.measured);
    EXPECT_EQ(o.specimen, "third");
    EXPECT_GT(o.uncertainty, 0);
    EXPECT_FALSE(o.uncertainty_given);
    EXPECT_DOUBLE_EQ(o.temperature, 298.15) << "where no point says it";
    const double factor = whole.column == "ctr" ? whole.values.at("forward_current") : 1.0;
    EXPECT_DOUBLE_EQ(o.value, 0.25 * factor);
    EXPECT_EQ(o.as_ctr, whole.column == "ctr");
    const auto stated = [&](std::string_view key) {
        const auto at = whole.values.find(key);
        return at == whole.values.end() ? 0.0 : at->second;
    };
    EXPECT_EQ(o.forward_current, stated("forward_current"));
    EXPECT_EQ(o.irradiance, stated("irradiance"));
    EXPECT_EQ(o.illuminance, stated("illuminance"));
    EXPECT_EQ(o.collector_emitter_voltage, stated("collector_emitter_voltage"));
    EXPECT_EQ(o.supply_voltage, stated("supply_voltage"));
    EXPECT_EQ(o.load_resistance, stated("load_resistance"));
}

TEST_P(EachMeasured, SaysWhichConditionIsMissing) {
    const Whole& whole = GetParam();
    for (const auto& [missing, value] : whole.values) {
        Values rest = with(whole.values, whole.column, 0.25);
        rest.erase(missing);
        const auto found = observations_of(whole.kind, {point(rest)});
        ASSERT_FALSE(found) << missing;
        ASSERT_EQ(found.error().size(), 1U);
        EXPECT_EQ(found.error()[0].cause, Cause::missing_key);
        EXPECT_NE(found.error()[0].message.find(missing), std::string::npos)
            << found.error()[0].message;
        EXPECT_NE(found.error()[0].message.find(whole.column), std::string::npos)
            << found.error()[0].message;
    }
}

TEST_P(EachMeasured, IsRefusedWhereItOrAConditionIsNotAboveZero) {
    const Whole& whole = GetParam();
    const Values full = with(whole.values, whole.column, 0.25);
    for (const auto& [key, value] : full) {
        for (const double bad : {0.0, -1.0}) {
            if (bad == 0 && key == "illuminance") continue;  // covered: its dark resistance
            const auto found = observations_of(whole.kind, {point(with(full, key, bad))});
            ASSERT_FALSE(found) << key;
            EXPECT_EQ(found.error()[0].cause, Cause::out_of_range);
            EXPECT_NE(found.error()[0].message.find(key), std::string::npos)
                << found.error()[0].message;
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Quantities, EachMeasured, testing::ValuesIn(wholes()),
                         [](const auto& each) { return each.param.name; });

TEST(Observations, TakeTemperatureAndUncertaintyOfThePoint) {
    auto given = point({{"forward_current", 1e-3}, {"forward_voltage", 1.7}, {"temperature", 310}});
    given.uncertainty = 0.04;
    const auto found = observations_of(Kind::led, {given});
    ASSERT_TRUE(found) << to_text(found.error());
    EXPECT_DOUBLE_EQ(found->at(0).temperature, 310);
    EXPECT_DOUBLE_EQ(found->at(0).uncertainty, 0.04);
    EXPECT_TRUE(found->at(0).uncertainty_given);
}

TEST(Observations, OnePointMayStateSeveralQuantities) {
    const auto found = observations_of(
        Kind::coupler, {point({{"forward_current", 5e-3}, {"forward_voltage", 1.2}}),
                        point({{"forward_current", 10e-3},
                               {"forward_voltage", 1.25},
                               {"collector_emitter_voltage", 5},
                               {"ctr", 1.2}})});
    ASSERT_TRUE(found) << to_text(found.error());
    ASSERT_EQ(found->size(), 3U);
    EXPECT_EQ(found->at(0).point, 0U);
    EXPECT_EQ(found->at(1).point, 1U);
    EXPECT_EQ(found->at(2).point, 1U);
}

TEST(Observations, AnotherKindsPointsSayNothing) {
    const auto found =
        observations_of(Kind::led, {point({{"illuminance", 10}, {"resistance", 1e4}})});
    ASSERT_FALSE(found);
    EXPECT_EQ(found.error()[0].cause, Cause::missing_key);
    EXPECT_NE(to_text(found.error()).find("forward_voltage"), std::string::npos)
        << "the remedy names a column: " << to_text(found.error());
}

TEST(Observations, EveryBadPointIsTold) {
    const auto found = observations_of(
        Kind::led, {point({{"forward_voltage", 2}}), point({{"forward_current", 1e-3}}),
                    point({{"forward_current", 1e-3}, {"forward_voltage", -2}})});
    ASSERT_FALSE(found);
    EXPECT_EQ(found.error().size(), 3U) << to_text(found.error());
}

TEST(Observations, NoPointAtAllIsTold) {
    const auto found = observations_of(Kind::light_dependent_resistor, {});
    ASSERT_FALSE(found);
    ASSERT_EQ(found.error().size(), 1U);
    EXPECT_EQ(found.error()[0].cause, Cause::missing_key);
    EXPECT_NE(to_text(found.error()).find("illuminance"), std::string::npos)
        << to_text(found.error());
}

TEST(Observations, KindsThatCanBeFitted) {
    for (const Kind kind : {Kind::diode, Kind::led, Kind::zener, Kind::coupler,
                            Kind::phototransistor, Kind::light_dependent_resistor}) {
        EXPECT_TRUE(can_be_fitted(kind)) << kind_rule(kind).name;
    }
    for (const Kind kind : {Kind::resistor, Kind::battery, Kind::coil, Kind::logic_input}) {
        EXPECT_FALSE(can_be_fitted(kind)) << kind_rule(kind).name;
        const auto found = observations_of(kind, {point({{"resistance", 1e3}})});
        ASSERT_FALSE(found) << kind_rule(kind).name;
        EXPECT_EQ(found.error().at(0).cause, Cause::contradiction);
    }
}

}  // namespace
}  // namespace gapwright
