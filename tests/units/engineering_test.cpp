#include "units/engineering.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "units/quantity.hpp"

namespace gapwright {
namespace {

using D = Dimension;
constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double year = 31557600;

struct TextCase {
    double value;
    D dimension;
    std::string_view text;        // three digits
    std::string_view short_text;  // four digits, no trailing zeros
};

TEST(Engineering, ReadsAsPeopleWriteIt) {
    const TextCase cases[] = {
        {0.01986, D::current, "19.9 mA", "19.86 mA"},
        {0.02, D::current, "20.0 mA", "20 mA"},
        {4700, D::resistance, "4.70 kΩ", "4.7 kΩ"},
        {330, D::resistance, "330 Ω", "330 Ω"},
        {999.4, D::resistance, "999 Ω", "999.4 Ω"},
        {999.5, D::resistance, "1.00 kΩ", "999.5 Ω"},
        {999.96, D::resistance, "1.00 kΩ", "1 kΩ"},
        {999999, D::resistance, "1.00 MΩ", "1 MΩ"},
        {9.996, D::voltage, "10.0 V", "9.996 V"},
        {0, D::voltage, "0 V", "0 V"},
        {-0.0, D::voltage, "0 V", "0 V"},
        {1e-16, D::voltage, "0 V", "0 V"},
        {-1e-16, D::voltage, "0 V", "0 V"},
        {std::numeric_limits<double>::denorm_min(), D::voltage, "0 V", "0 V"},
        {-5, D::voltage, "\u22125.00 V", "\u22125 V"},
        {-0.33, D::voltage, "\u2212330 mV", "\u2212330 mV"},
        {1e-12, D::current, "1.00 pA", "1 pA"},
        {1e-13, D::current, "0.100 pA", "0.1 pA"},
        {2e-15, D::current, "0.00200 pA", "0.002 pA"},
        {3.3e-9, D::capacitance, "3.30 nF", "3.3 nF"},
        {4.7e-6, D::inductance, "4.70 µH", "4.7 µH"},
        {1.5e9, D::resistance, "1.50 GΩ", "1.5 GΩ"},
        {1e13, D::resistance, "10000 GΩ", "10000 GΩ"},
        {std::numeric_limits<double>::max(), D::resistance, "1.80e299 GΩ", "1.798e299 GΩ"},
        {infinite, D::voltage, "∞ V", "∞ V"},
        {-infinite, D::voltage, "\u2212∞ V", "\u2212∞ V"},
        {std::numeric_limits<double>::quiet_NaN(), D::voltage, "n/a", "n/a"},
        {298.15, D::temperature, "25.0 °C", "25 °C"},
        {268.15, D::temperature, "\u22125.0 °C", "\u22125 °C"},
        {298.19, D::temperature, "25.0 °C", "25 °C"},
        {273.15, D::temperature, "0.0 °C", "0 °C"},
        {273.12, D::temperature, "0.0 °C", "0 °C"},  // no sign where nothing is shown
        {398.15, D::temperature, "125 °C", "125 °C"},
        {373.11, D::temperature, "100 °C", "100 °C"},
        {0, D::temperature, "\u2212273 °C", "\u2212273.1 °C"},
        {infinite, D::temperature, "∞ °C", "∞ °C"},
        {1.2, D::ratio, "1.20", "1.2"},
        {0, D::ratio, "0", "0"},
        {-1.5, D::ratio, "\u22121.50", "\u22121.5"},
        {123456, D::ratio, "123000", "123500"},
        {1.6e-3, D::ratio, "0.00160", "0.0016"},
        {1.6e-7, D::ratio, "1.60e-7", "1.6e-7"},
        {1.6e12, D::ratio, "1.60e12", "1.6e12"},
        {20e-6, D::time, "20.0 µs", "20 µs"},
        {90, D::time, "90.0 s", "90 s"},
        {3599.9, D::time, "3600 s", "3600 s"},
        {3600, D::time, "1.00 h", "1 h"},
        {1.9 * year, D::time, "16700 h", "16660 h"},
        {2 * year, D::time, "2.00 years", "2 years"},
        {10 * year, D::time, "10.0 years", "10 years"},
        {std::numbers::pi / 6, D::angle, "30.0 °", "30 °"},
        {1.12, D::energy, "1.12 eV", "1.12 eV"},
        {-0.003, D::per_temperature, "\u22120.300 %/K", "\u22120.3 %/K"},
        {0.02, D::per_voltage, "2.00 %/V", "2 %/V"},
        {25e6, D::voltage_rate, "25.0 V/µs", "25 V/µs"},
        {2500, D::voltage_rate, "2.50 V/ms", "2.5 V/ms"},
        {25, D::voltage_rate, "25.0 V/s", "25 V/s"},
        {3e9, D::voltage_rate, "3.00 V/ns", "3 V/ns"},
        {0.025, D::voltage_rate, "25.0 mV/s", "25 mV/s"},
        {31250, D::signalling_rate, "31.2 kBd", "31.25 kBd"},  // a tie, to the even digit
        {0.8, D::luminous_intensity, "800 mcd", "800 mcd"},
        {0.05, D::transconductance, "50.0 mA/V²", "50 mA/V²"},
        {940e-9, D::length, "940 nm", "940 nm"},
    };
    for (const TextCase& c : cases) {
        EXPECT_EQ(engineering(c.value, c.dimension), c.text);
        EXPECT_EQ(engineering_short(c.value, c.dimension), c.short_text);
    }
}

TEST(Engineering, ShowsTheDigitsAskedFor) {
    EXPECT_EQ(engineering(1234.5678, D::resistance, 1), "1 kΩ");
    EXPECT_EQ(engineering(1234.5678, D::resistance, 2), "1.2 kΩ");
    EXPECT_EQ(engineering(123.45678, D::resistance, 2), "120 Ω");
    EXPECT_EQ(engineering(1234.5678, D::resistance, 7), "1.234568 kΩ");
    EXPECT_EQ(engineering(1234.5678, D::resistance, 0), "1 kΩ");  // at least one
    EXPECT_EQ(engineering(298.15, D::temperature, 2), "25 °C");
}

TEST(Engineering, IsReadBackAsTheSameValue) {
    for (int k = 0; k <= static_cast<int>(D::voltage_rate); ++k) {
        const auto dimension = static_cast<D>(k);
        for (double value = 1.2345678e-14; value < 1e14; value *= 2.7) {
            for (const int digits : {3, 6, 12}) {
                const std::string text = engineering(value, dimension, digits);
                const auto back = parse_quantity(text, dimension);
                ASSERT_TRUE(back) << text;
                // Half a unit of the last digit shown; of a temperature, half a tenth.
                const double relative = 0.51 * std::pow(10, 1 - digits);
                const double step = dimension == D::temperature
                                        ? std::max(0.051, relative * std::max(value, 273.15))
                                        : relative * value;
                EXPECT_NEAR(*back, value, step) << text;
                const auto short_back =
                    parse_quantity(engineering_short(value, dimension, digits), dimension);
                ASSERT_TRUE(short_back) << text;
                EXPECT_EQ(*short_back, *back) << text;
            }
        }
    }
}

TEST(Percent, NeverRoundsUpToTheWhole) {
    const std::pair<double, std::string_view> cases[] = {
        {0.05, "5 %"},
        {0.9996, "99.96 %"},
        {0.12345, "12.3 %"},
        {1, "100 %"},
        {0.99999999, "99.999999 %"},
        {1.00001, "100 %"},
        {1.5, "150 %"},
        {0, "0 %"},
        {-0.05, "\u22125 %"},
        {0.000123, "0.0123 %"},
        {infinite, "∞ %"},
        {std::nan(""), "n/a"},
    };
    for (const auto& [ratio, text] : cases) EXPECT_EQ(percent(ratio), text);
    EXPECT_NE(percent(std::nextafter(1.0, 0.0)), "100 %");
    EXPECT_EQ(percent(0.123456, 5), "12.346 %");
}

TEST(Engineering, WhatNoMeterShowsHasNoFigures) {
    EXPECT_EQ(metered(2.71e-15, Dimension::current), "below 1 nA");
    EXPECT_EQ(metered(-4e-10, Dimension::current), "below 1 nA");
    EXPECT_EQ(metered(0, Dimension::current), "none");
    EXPECT_EQ(metered(1e-9, Dimension::current), "1.00 nA");
    EXPECT_EQ(metered(3e-6, Dimension::voltage), "below 10 µV");
    EXPECT_EQ(metered(-0.2, Dimension::voltage), "−200 mV");
    EXPECT_EQ(metered(1e-15, Dimension::power), engineering(1e-15, Dimension::power));
}

TEST(EngineeringRange, SharesTheUnitWhereItCan) {
    EXPECT_EQ(engineering_range(0.0138, 0.0202, Dimension::current), "13.8 … 20.2 mA");
    EXPECT_EQ(engineering_range(0.95e-3, 1.2e-3, Dimension::current), "950 µA … 1.2 mA");
    EXPECT_EQ(engineering_range(0, 3e-3, Dimension::current), "0 … 3 mA");
    EXPECT_EQ(engineering_range(5, 5.0001, Dimension::voltage), "5 V");
    EXPECT_EQ(engineering_range(-2, 1, Dimension::voltage), "−2 … 1 V");
    EXPECT_EQ(engineering_range(273.15, 313.15, Dimension::temperature), "0 … 40 °C");
}

}  // namespace
}  // namespace gapwright
