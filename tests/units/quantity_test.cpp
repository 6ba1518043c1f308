#include "units/quantity.hpp"

#include <gtest/gtest.h>

#include <numbers>

namespace gapwright {
namespace {

using D = Dimension;

struct ValueCase {
    std::string_view text;
    D dimension;
    double value;  // exactly: a prefix must not cost the last digit
};

constexpr double degree = std::numbers::pi / 180;

const ValueCase accepted[] = {
    {"330 Ω", D::resistance, 330},
    {"330Ω", D::resistance, 330},
    {"330 ohm", D::resistance, 330},
    {"330 ohms", D::resistance, 330},
    {"330 \u2126", D::resistance, 330},  // ohm sign
    {"4.7 kΩ", D::resistance, 4700},
    {"4.7kohm", D::resistance, 4700},
    {"1 MΩ", D::resistance, 1e6},
    {"5 mΩ", D::resistance, 0.005},
    {"0 Ω", D::resistance, 0},
    {"4k7", D::resistance, 4700},
    {"R47", D::resistance, 0.47},
    {"  10k  ", D::resistance, 1e4},
    {"5 V", D::voltage, 5},
    {"+5 V", D::voltage, 5},
    {"-5 V", D::voltage, -5},
    {"\u22125 V", D::voltage, -5},      // minus sign
    {"5\u00A0V", D::voltage, 5},        // no-break space
    {"5\u202FV\u2009", D::voltage, 5},  // narrow spaces
    {"\t5\u3000V", D::voltage, 5},      // tab, ideographic space
    {".5 V", D::voltage, 0.5},
    {"5. V", D::voltage, 5},
    {"330 mV", D::voltage, 0.33},
    {"20 mA", D::current, 0.02},
    {"0.1 µA", D::current, 1e-7},       // micro sign
    {"0.1 \u03BCA", D::current, 1e-7},  // small mu
    {"0.1 uA", D::current, 1e-7},
    {"1.6 nA", D::current, 1.6e-9},
    {"10 pA", D::current, 1e-11},
    {"2e-12 A", D::current, 2e-12},
    {"2E+3A", D::current, 2000},
    {"2e\u22123 A", D::current, 2e-3},
    {"0.25 W", D::power, 0.25},
    {"330 nF", D::capacitance, 330e-9},
    {"0.9 H", D::inductance, 0.9},
    {"4.7 µH", D::inductance, 4.7e-6},
    {"20 µs", D::time, 20e-6},
    {"30 min", D::time, 1800},
    {"2 h", D::time, 7200},
    {"1 hour", D::time, 3600},
    {"100000 h", D::time, 3.6e8},
    {"1 day", D::time, 86400},
    {"2 days", D::time, 172800},
    {"1 year", D::time, 31557600},
    {"10 years", D::time, 315576000},
    {"2.4 kHz", D::frequency, 2400},
    {"31.25 kBd", D::signalling_rate, 31250},
    {"300 lx", D::illuminance, 300},
    {"10 klx", D::illuminance, 1e4},
    {"10 W/m²", D::irradiance, 10},
    {"10 W/m2", D::irradiance, 10},
    {"10 W/m^2", D::irradiance, 10},
    {"1 mW/cm²", D::irradiance, 10},
    {"1 W/cm2", D::irradiance, 1e4},
    {"3 µW/cm^2", D::irradiance, 0.03},
    {"800 mcd", D::luminous_intensity, 0.8},
    {"2 cd", D::luminous_intensity, 2},
    {"8 mW/sr", D::radiant_intensity, 0.008},
    {"2 m", D::length, 2},
    {"8 mm", D::length, 0.008},
    {"5 cm", D::length, 0.05},
    {"940 nm", D::length, 940e-9},
    {"25 °C", D::temperature, 25 + 273.15},
    {"-10 °C", D::temperature, -10 + 273.15},
    {"25 \u2103", D::temperature, 25 + 273.15},  // degree Celsius in one character
    {"300 K", D::temperature, 300},
    {"0 K", D::temperature, 0},
    {"30 °", D::angle, 30 * degree},
    {"30°", D::angle, 30 * degree},
    {"30 deg", D::angle, 30 * degree},
    {"0.5 rad", D::angle, 0.5},
    {"1.12 eV", D::energy, 1.12},
    {"1.12eV", D::energy, 1.12},
    {"1.9", D::ratio, 1.9},
    {"120 %", D::ratio, 1.2},
    {"5%", D::ratio, 0.05},
    {"3.2e-3", D::ratio, 0.0032},
    {"-0.3 %/K", D::per_temperature, -0.003},
    {"0.003 /K", D::per_temperature, 0.003},
    {"0.003 1/K", D::per_temperature, 0.003},
    {"2 %/V", D::per_voltage, 0.02},
    {"0.02 /V", D::per_voltage, 0.02},
    {"0.02 1/V", D::per_voltage, 0.02},
    {"0.5 A/V²", D::transconductance, 0.5},
    {"50 mA/V^2", D::transconductance, 0.05},
    {"50 mA/V2", D::transconductance, 0.05},
    {"25 V/µs", D::voltage_rate, 25e6},
    {"25 V/us", D::voltage_rate, 25e6},
    {"5 kV/ms", D::voltage_rate, 5e6},
    {"3 V/s", D::voltage_rate, 3},
    {"3 V/ns", D::voltage_rate, 3e9},
};

TEST(Quantity, IsTheDoubleNearestToTheText) {
    for (const ValueCase& c : accepted) {
        const auto value = parse_quantity(c.text, c.dimension);
        ASSERT_TRUE(value) << c.text << ": " << value.error().message;
        EXPECT_EQ(*value, c.value) << c.text;
    }
}

TEST(Quantity, ReadsEachExampleItGives) {
    for (int k = 0; k <= static_cast<int>(D::voltage_rate); ++k) {
        const auto dimension = static_cast<D>(k);
        const std::string_view examples = dimension_example(dimension);
        int read = 0;
        for (std::size_t at = 0; (at = examples.find('"', at)) != std::string_view::npos; ++read) {
            const std::size_t end = examples.find('"', at + 1);
            ASSERT_NE(end, std::string_view::npos) << examples;
            const std::string_view example = examples.substr(at + 1, end - at - 1);
            EXPECT_TRUE(parse_quantity(example, dimension)) << example;
            at = end + 1;
        }
        EXPECT_GT(read, 0) << examples;
    }
}

TEST(Quantity, ReadsEachUnitItNames) {
    for (int k = 0; k <= static_cast<int>(D::voltage_rate); ++k) {
        const auto dimension = static_cast<D>(k);
        const std::string text = "2 " + std::string(dimension_unit(dimension));
        EXPECT_TRUE(parse_quantity(text, dimension)) << text;
        EXPECT_FALSE(dimension_name(dimension).empty());
    }
}

TEST(Quantity, AcceptsNoUnitOfAnotherDimension) {
    for (const ValueCase& c : accepted) {
        for (int k = 0; k <= static_cast<int>(D::voltage_rate); ++k) {
            const auto other = static_cast<D>(k);
            if (other == c.dimension) continue;
            EXPECT_FALSE(parse_quantity(c.text, other))
                << c.text << " as " << dimension_name(other);
        }
    }
}

}  // namespace
}  // namespace gapwright
