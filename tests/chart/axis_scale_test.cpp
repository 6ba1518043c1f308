#include "chart/axis_scale.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace gapwright {
namespace {

const AxisScale x_axis{.first = {{100, 500}, 0}, .second = {{700, 500}, 30}};
const AxisScale y_axis{.first = {{100, 500}, 1}, .second = {{100, 100}, 1000}, .logarithmic = true};

TEST(ChartScale, MapsLinearAndLogarithmicAxes) {
    const auto scale = ChartScale::make(x_axis, y_axis);
    ASSERT_TRUE(scale);
    const ChartPoint value = scale->to_value({300, 500 - 400.0 / 3});
    EXPECT_NEAR(value.x, 10, 1e-9);
    EXPECT_NEAR(value.y, 10, 1e-9);
    EXPECT_TRUE(std::isnan(scale->to_pixel({10, -1}).y));
}

// Turned by 2° and sheared; marks anywhere on their lines.
TEST(ChartScale, IsRightForCrookedPictures) {
    const PixelPoint u{600 * std::cos(0.035), 600 * std::sin(0.035)};
    const PixelPoint v{400 * std::sin(0.05), -400 * std::cos(0.05)};
    const auto at = [&](double a, double b) {
        return PixelPoint{90 + a * u.x + b * v.x, 480 + a * u.y + b * v.y};
    };
    // The x marks both at the height of the y axis' first mark, the y marks at x = -0.1.
    const auto scale = ChartScale::make({.first = {at(0, 0), 0}, .second = {at(1, 0), 30}},
                                        {.first = {at(0, 0.25), 5}, .second = {at(0, 1), 20}});
    ASSERT_TRUE(scale);
    for (double a = 0; a <= 1; a += 0.25) {
        for (double b = 0; b <= 1; b += 0.25) {
            const ChartPoint value = scale->to_value(at(a, b));
            EXPECT_NEAR(value.x, 30 * a, 1e-9);
            EXPECT_NEAR(value.y, 20 * b, 1e-9);
            const PixelPoint back = scale->to_pixel(value);
            EXPECT_NEAR(back.x, at(a, b).x, 1e-9);
            EXPECT_NEAR(back.y, at(a, b).y, 1e-9);
        }
    }
}

Cause cause_of(const AxisScale& x, const AxisScale& y) {
    const auto scale = ChartScale::make(x, y);
    if (scale) {
        ADD_FAILURE() << "was accepted";
        return Cause::untraceable;
    }
    EXPECT_FALSE(scale.error().front().remedy.empty());
    return scale.error().front().cause;
}

TEST(ChartScale, RefusesWhatIsNoAxis) {
    AxisScale x = x_axis;
    x.second.at = {103, 500};
    EXPECT_EQ(cause_of(x, y_axis), Cause::contradiction);
    x = x_axis;
    x.second.value = 0;
    EXPECT_EQ(cause_of(x, y_axis), Cause::contradiction);
    x = x_axis;
    x.logarithmic = true;
    EXPECT_EQ(cause_of(x, y_axis), Cause::out_of_range);
    x = x_axis;
    x.second.value = std::nan("");
    EXPECT_EQ(cause_of(x, y_axis), Cause::out_of_range);
    AxisScale y = y_axis;
    y.second.at = {700, 450};
    EXPECT_EQ(cause_of(x_axis, y), Cause::contradiction);
}

}  // namespace
}  // namespace gapwright
