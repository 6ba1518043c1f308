// What parse_quantity of units/quantity.hpp says about texts that it refuses.
#include <gtest/gtest.h>

#include "units/quantity.hpp"

namespace gapwright {
namespace {

using D = Dimension;

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
    {"5 m", D::time, Cause::wrong_unit, "5 m", "\"5 m\" can be read in more than one way",
     "write \"5 ms\" or \"5 min\""},
    {"5 min", D::length, Cause::wrong_unit, "5 min", "a length is in metres, not \"min\"", "write"},
    {"5 V", D::ratio, Cause::wrong_unit, "5 V",
     "a ratio is a number alone or in percent, not volts", "write for example \"120 %\""},
    {"5 %", D::voltage, Cause::wrong_unit, "5 %", "a voltage is in volts, not \"%\"", "write"},
    {"25 C", D::temperature, Cause::wrong_unit, "25 C", "\"C\" is written \"°C\"",
     "write \"25 °C\""},
    {"4.7 KΩ", D::resistance, Cause::wrong_unit, "4.7 KΩ", "\"KΩ\" is written \"kΩ\"",
     "write \"4.7 kΩ\""},
    {"5 mv", D::voltage, Cause::wrong_unit, "5 mv", "\"mv\" is written \"mV\"", "write \"5 mV\""},
    {"5 lux", D::illuminance, Cause::wrong_unit, "5 lux", "\"lux\" is written \"lx\"",
     "write \"5 lx\""},
    {"5 KX", D::illuminance, Cause::wrong_unit, "5 KX",
     "an illuminance is in lux, not \"KX\" (did you mean \"klx\"?)", "write"},
    {"5 m%", D::ratio, Cause::wrong_unit, "5 m%", "a ratio is", "write"},
    {"5 k", D::resistance, Cause::wrong_unit, "5 k", "\"k\" is written \"kΩ\"", "write \"5 kΩ\""},
    {"330", D::resistance, Cause::missing_unit, "330", "a resistance needs a unit",
     "write \"330 Ω\""},
    {" 5 ", D::voltage, Cause::missing_unit, "5", "a voltage needs a unit", "write \"5 V\""},
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
     "a point, not a comma, stands before decimals", "write \"1.5 V\""},
    {"10 000 V", D::voltage, Cause::not_a_quantity, "10 000",
     "the digits of a number stand together", "write \"10000 V\""},
    {"1/3 W", D::power, Cause::not_a_quantity, "1/3", "a fraction is written as a decimal number",
     "write for example 0.25"},
    {"5 V 3", D::voltage, Cause::not_a_quantity, "3", "\"3\" is not expected here", "write"},
    {"5 V ± 5 % ", D::voltage, Cause::not_a_quantity, "5 V ± 5 %", "one value is wanted here",
     "wri"},
    {"1 V .. 2 V", D::voltage, Cause::not_a_quantity, "1 V .. 2 V", "one value is wanted", "write"},
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

}  // namespace
}  // namespace gapwright
