// Ranges, limits of error and what is shown, against numbers worked by hand.
#include "bench/meter/meter_error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace gapwright {
namespace {

using enum MeasurementKind;
constexpr double infinity = std::numeric_limits<double>::infinity();

TEST(MeterError, TakesTheSmallestRangeThatShowsTheValue) {
    struct Case {
        MeasurementKind kind;
        double value;
        double range;
        double resolution;
    };
    const Case cases[] = {
        {voltage, 0, 0.2, 1e-4},
        {voltage, 0.199, 0.2, 1e-4},
        {voltage, 0.2, 0.2, 1e-4},
        {voltage, 0.20004, 0.2, 1e-4},
        {voltage, 0.2001, 2, 1e-3},
        {voltage, 4.32, 20, 0.01},
        {voltage, -4.32, 20, 0.01},
        {voltage, 150, 200, 0.1},
        {voltage, 999, 1000, 1},
        {voltage, 1001, infinity, infinity},
        {current, 1e-6, 200e-6, 1e-7},
        {current, 12e-3, 20e-3, 1e-5},
        {current, 1.5, 2, 1e-3},
        {current, 9, 10, 0.01},
        {current, 10.1, infinity, infinity},
        {resistance, 0, 200, 0.1},
        {resistance, 330, 2000, 1},
        {resistance, 19e6, 20e6, 1e4},
        {resistance, 21e6, infinity, infinity},
        {isolation, 15e6, 20e6, 1e4},
        {isolation, infinity, infinity, infinity},
        {junction, 0.62, 3, 1e-3},
        {junction, 2.999, 3, 1e-3},
        {junction, 3.01, infinity, infinity},
        {insulation, 5e6, 20e6, 1e4},
        {insulation, 1.5e9, 2e9, 1e6},
        {insulation, 2.1e9, infinity, infinity},
    };
    for (const Case& c : cases) {
        EXPECT_DOUBLE_EQ(range_for(Meter{}, c.kind, c.value), c.range) << c.value;
        EXPECT_DOUBLE_EQ(resolution(Meter{}, c.kind, c.value), c.resolution) << c.value;
    }
}

TEST(MeterError, RangesFollowTheCounts) {
    const Meter fine{.counts = 6000};
    EXPECT_DOUBLE_EQ(range_for(fine, voltage, 4.32), 6);
    EXPECT_DOUBLE_EQ(resolution(fine, voltage, 4.32), 1e-3);
    EXPECT_DOUBLE_EQ(range_for(fine, voltage, 700), 1000);
    EXPECT_DOUBLE_EQ(resolution(fine, voltage, 700), 1);
    EXPECT_DOUBLE_EQ(range_for(fine, resistance, 55e6), 60e6);
    EXPECT_DOUBLE_EQ(shown(fine, voltage, 4.32149), 4.321);
    const Meter exact{.counts = 1999};
    EXPECT_DOUBLE_EQ(range_for(exact, voltage, 1.999), 1.999);
    EXPECT_DOUBLE_EQ(range_for(exact, voltage, 2), 19.99);
}

// 0.5 % of 4.32 V is 21.6 mV, two digits of 10 mV are 20 mV: 41.6 mV; over √3 24.02 mV.
TEST(MeterError, IsAShareOfTheValueAndDigitsOfTheLastPlace) {
    const Meter meter;
    EXPECT_NEAR(error_limit(meter, voltage, 4.32), 0.0416, 1e-12);
    EXPECT_NEAR(error_limit(meter, voltage, -4.32), 0.0416, 1e-12);
    EXPECT_NEAR(standard_error(meter, voltage, 4.32), 0.0240178, 1e-7);
    // 1 % of 12 mA and three digits of 10 µA.
    EXPECT_NEAR(error_limit(meter, current, 12e-3), 150e-6, 1e-12);
    // 0.8 % of 330 Ω and two digits of 1 Ω.
    EXPECT_NEAR(error_limit(meter, resistance, 330), 4.64, 1e-12);
    // 0.8 % of 10 MΩ and two digits of 10 kΩ.
    EXPECT_NEAR(error_limit(meter, isolation, 10e6), 100e3, 1e-6);
    // 0.5 % of 620 mV and two digits of 1 mV.
    EXPECT_NEAR(error_limit(meter, junction, 0.62), 5.1e-3, 1e-12);
    EXPECT_NEAR(error_limit(meter, voltage, 0), 0.2e-3, 1e-12);
    EXPECT_EQ(error_limit(meter, resistance, 21e6), infinity);
    EXPECT_EQ(standard_error(meter, resistance, 21e6), infinity);
}

TEST(MeterError, ShowsWholeDigits) {
    const Meter meter;
    EXPECT_EQ(shown(meter, voltage, 4.3249), 4.32);
    EXPECT_EQ(shown(meter, voltage, -4.3251), -4.33);
    EXPECT_EQ(shown(meter, voltage, 0.00004), 0);
    EXPECT_EQ(shown(meter, current, 12.3456e-3), 12.35e-3);
    EXPECT_EQ(shown(meter, resistance, 4712), 4710);
    EXPECT_EQ(shown(meter, isolation, 30e6), infinity);
    EXPECT_EQ(shown(meter, junction, 0.6234), 0.623);
    EXPECT_EQ(shown(meter, junction, 2.2), 2.2);
    EXPECT_EQ(shown(Meter{.junction_range = 2}, junction, 2.2), infinity);
}

// What is shown never lies outside the limits that the digits alone allow, and showing it again
// changes nothing.
TEST(MeterError, ShowsAgainWhatItShows) {
    for (const int counts : {200, 1999, 2000, 4000, 6000, 50000, 10000000}) {
        const Meter meter{.counts = counts};
        for (const auto kind : {voltage, current, resistance, junction, isolation}) {
            for (double value = 1e-5; value < 1e8; value *= 1.0137) {
                const double once = shown(meter, kind, value);
                ASSERT_EQ(shown(meter, kind, once), once) << counts << ' ' << value;
                if (once == infinity) continue;
                ASSERT_LE(once, range_for(meter, kind, value));
                ASSERT_LE(std::abs(once - value), resolution(meter, kind, value) * 0.500001)
                    << counts << ' ' << value;
            }
        }
    }
}

// A junction that the meter cannot drive reads over range below the end of its range.
TEST(MeterError, AJunctionIsTestedUpToWhatTheMeterApplies) {
    const Meter weak{.junction_voltage = 1.5};
    EXPECT_DOUBLE_EQ(range_for(weak, junction, 1.49), 1.5);
    EXPECT_EQ(shown(weak, junction, 1.6), infinity);
    EXPECT_DOUBLE_EQ(shown(Meter{}, junction, 1.6), 1.6);
}

// 200 mV at 20 mA.
TEST(MeterError, ABurdenIsAResistance) {
    EXPECT_DOUBLE_EQ(burden_resistance(Meter{}, 20e-3), 10);
    EXPECT_EQ(burden_resistance(Meter{}, infinity), 0);
}

}  // namespace
}  // namespace gapwright
