#include "units/decimal.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace gapwright {
namespace {

TEST(Decimal, RoundsToDigits) {
    struct Case {
        double value;
        int digits;
        std::string_view expected;
        int exponent;
    };
    const Case cases[] = {
        {0.01986, 3, "199", -2},
        {999.96, 4, "1000", 3},
        {999.94, 4, "9999", 2},
        {1, 1, "1", 0},
        {9.5, 1, "1", 1},
        {4700, 4, "4700", 3},
        {std::numeric_limits<double>::denorm_min(), 3, "494", -324},
        {std::numeric_limits<double>::max(), 17, "17976931348623157", 308},
    };
    for (const Case& c : cases) {
        const Decimal decimal = rounded(c.value, c.digits);
        EXPECT_EQ(decimal.digits, c.expected) << c.value;
        EXPECT_EQ(decimal.exponent, c.exponent) << c.value;
    }
}

TEST(Decimal, SetsThePoint) {
    struct Case {
        Decimal decimal;
        int shift;
        std::string_view text;
    };
    const Case cases[] = {
        {{"199", -2}, -3, "19.9"}, {{"199", -2}, 0, "0.0199"}, {{"199", -1}, 0, "0.199"},
        {{"199", 2}, 0, "199"},    {{"199", 4}, 0, "19900"},   {{"199", 4}, 3, "19.9"},
        {{"1", 0}, 0, "1"},        {{"47", -13}, -12, "0.47"},
    };
    for (const Case& c : cases) EXPECT_EQ(positional(c.decimal, c.shift), c.text);
}

TEST(Decimal, BecomesTheNearestDouble) {
    EXPECT_EQ(decimal_value("330", -9), 330e-9);
    EXPECT_EQ(decimal_value("4.7", 3), 4700.0);
    EXPECT_EQ(decimal_value(".5", 0), 0.5);
    EXPECT_EQ(decimal_value("5.", 1), 50.0);
    EXPECT_EQ(decimal_value("0", 9999), 0.0);
    EXPECT_EQ(decimal_value("1", 309), std::nullopt);
    EXPECT_EQ(decimal_value("1", -400), std::nullopt);
    EXPECT_EQ(decimal_value(".", 0), std::nullopt);
    EXPECT_EQ(decimal_value("", 0), std::nullopt);
}

}  // namespace
}  // namespace gapwright
