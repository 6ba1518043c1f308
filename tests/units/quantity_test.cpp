#include "units/quantity.hpp"

#include <gtest/gtest.h>

#include <limits>
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

struct RefusedCase {
    std::string_view text;
    D dimension;
    Cause cause;
    std::string_view wrong;    // the bytes that are wrong
    std::string_view message;  // or its opening
    std::string_view remedy;   // or its opening
};

constexpr std::string_view ohms_example = "write for example \"330 Ω\", \"4.7 kΩ\" or \"4k7\"";

const RefusedCase refused[] = {
    {"330 V", D::resistance, Cause::wrong_unit, "330 V", "a resistance is in ohms, not volts",
     ohms_example},
    {"5 kV", D::resistance, Cause::wrong_unit, "5 kV", "a resistance is in ohms, not volts", "wri"},
    {"5 years", D::voltage, Cause::wrong_unit, "5 years", "a voltage is in volts, not \"years\"",
     "write for example \"5 V\""},
    {"5 m", D::time, Cause::wrong_unit, "5 m", "a time is in seconds", "write"},
    {"5 min", D::length, Cause::wrong_unit, "5 min", "a length is in metres, not \"min\"", "write"},
    {"5 V", D::ratio, Cause::wrong_unit, "5 V",
     "a ratio is a number alone or in percent, not volts", "write for example \"120 %\""},
    {"5 %", D::voltage, Cause::wrong_unit, "5 %", "a voltage is in volts, not \"%\"", "write"},
    {"25 C", D::temperature, Cause::wrong_unit, "25 C",
     "a temperature is in °C or kelvins, not \"C\"", "write for example \"25 °C\""},
    {"4.7 KΩ", D::resistance, Cause::wrong_unit, "4.7 KΩ",
     "a resistance is in ohms, not \"KΩ\" (did you mean \"kΩ\"?)", "write"},
    {"5 mv", D::voltage, Cause::wrong_unit, "5 mv",
     "a voltage is in volts, not \"mv\" (did you mean \"mV\"?)", "write"},
    {"5 lux", D::illuminance, Cause::wrong_unit, "5 lux",
     "an illuminance is in lux, not \"lux\" (did you mean \"lx\"?)", "write"},
    {"5 m%", D::ratio, Cause::wrong_unit, "5 m%", "a ratio is", "write"},
    {"5 k", D::resistance, Cause::wrong_unit, "5 k", "a resistance is in ohms, not \"k\"", "write"},
    {"330", D::resistance, Cause::missing_unit, "330", "a resistance needs a unit", ohms_example},
    {" 5 ", D::voltage, Cause::missing_unit, "5", "a voltage needs a unit", "write"},
    {"", D::voltage, Cause::not_a_quantity, "", "a voltage is missing here", "write"},
    {" ", D::voltage, Cause::not_a_quantity, "", "a voltage is missing here", "write"},
    {"high V", D::voltage, Cause::not_a_quantity, "high", "\"high\" is not a voltage", "write"},
    {"V", D::voltage, Cause::not_a_quantity, "V", "\"V\" is not a voltage", "write"},
    {"nan V", D::voltage, Cause::not_a_quantity, "nan", "\"nan\" is not a voltage", "write"},
    {"-inf V", D::voltage, Cause::not_a_quantity, "-inf", "\"-inf\" is not a voltage", "write"},
    {". V", D::voltage, Cause::not_a_quantity, ".", "\".\" is not a voltage", "write"},
    {"+-5 V", D::voltage, Cause::not_a_quantity, "+-5 V", "\"+-5 V\" is not a voltage", "write"},
    {"0x10 V", D::voltage, Cause::not_a_quantity, "0x", "numbers are written with decimal digits",
     ""},
    {"1,5 V", D::voltage, Cause::not_a_quantity, "1,5",
     "a point, not a comma, stands before decimals", "write 1.5"},
    {"10 000 V", D::voltage, Cause::not_a_quantity, "10 000",
     "the digits of a number stand together", "write"},
    {"5 V 3", D::voltage, Cause::not_a_quantity, "3", "\"3\" is not expected here", "write"},
    {"5 V ± 5 % ", D::voltage, Cause::not_a_quantity, "± 5 %", "\"± 5 %\" is not expected", "wri"},
    {"1 V .. 2 V", D::voltage, Cause::not_a_quantity, ".. 2 V", "\".. 2 V\" is not exp", "write"},
    {"4k7J", D::resistance, Cause::not_a_quantity, "4k7J",
     "the last letter gives a tolerance, which has no place here", "leave the letter out"},
    {"4k7", D::voltage, Cause::wrong_unit, "4k7", "a voltage is in volts, not \"k7\"", "write"},
    {"1e999 V", D::voltage, Cause::out_of_range, "1e999 V", "this is more, or nearer to zero",
     "write"},
    {"1e-999 V", D::voltage, Cause::out_of_range, "1e-999 V", "this is more, or nearer", "write"},
    {"1e99999999999 V", D::voltage, Cause::out_of_range, "1e99999999999 V", "this is more", "wri"},
    {"1e307 GV", D::voltage, Cause::out_of_range, "1e307 GV", "this is more", "write"},
    {"1e308 years", D::time, Cause::out_of_range, "1e308 years", "this is more than can be", "wri"},
    {"-300 °C", D::temperature, Cause::out_of_range, "-300 °C", "this is below absolute zero",
     "write"},
    {"-1 K", D::temperature, Cause::out_of_range, "-1 K", "this is below absolute zero", "write"},
    {"-5 Ω", D::resistance, Cause::out_of_range, "-5 Ω", "a resistance is never below zero",
     ohms_example},
    {"-5 F", D::capacitance, Cause::out_of_range, "-5 F", "a capacitance is never", "write"},
    {"-5 H", D::inductance, Cause::out_of_range, "-5 H", "an inductance is never", "write"},
    {"-5 h", D::time, Cause::out_of_range, "-5 h", "a time is never below zero", "write"},
    {"-5 mm", D::length, Cause::out_of_range, "-5 mm", "a length is never", "write"},
    {"-5 lx", D::illuminance, Cause::out_of_range, "-5 lx", "an illuminance is never", "write"},
    {"-5 cd", D::luminous_intensity, Cause::out_of_range, "-5 cd", "a luminous intensity", "wri"},
    {"-5 W/sr", D::radiant_intensity, Cause::out_of_range, "-5 W/sr", "a radiant inten", "write"},
    {"-5 W/m²", D::irradiance, Cause::out_of_range, "-5 W/m²", "an irradiance is never", "write"},
};

TEST(Quantity, SaysWhatIsWrongAndWhere) {
    for (const RefusedCase& c : refused) {
        const auto value = parse_quantity(c.text, c.dimension);
        ASSERT_FALSE(value) << c.text;
        const TextError& error = value.error();
        EXPECT_EQ(cause_name(error.cause), cause_name(c.cause)) << c.text;
        ASSERT_LE(error.begin, error.end) << c.text;
        ASSERT_LE(error.end, c.text.size()) << c.text;
        EXPECT_EQ(c.text.substr(error.begin, error.end - error.begin), c.wrong) << c.text;
        EXPECT_TRUE(error.message.starts_with(c.message)) << c.text << ": " << error.message;
        EXPECT_FALSE(error.message.ends_with('.')) << c.text;
        EXPECT_TRUE(error.remedy.starts_with(c.remedy)) << c.text << ": " << error.remedy;
    }
}

TEST(Quantity, KeepsMessagesAboutLongTextsShort) {
    std::string text = "5 V ";
    for (int k = 0; k < 500'000; ++k) text += "µ^2";
    for (const std::string& t :
         {text, text.substr(4), "5 " + text.substr(4), std::string(100'000, '9')}) {
        const auto value = parse_quantity(t, D::voltage);
        ASSERT_FALSE(value);
        EXPECT_LT(value.error().message.size(), 200U);
        EXPECT_LE(value.error().end, t.size());
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
