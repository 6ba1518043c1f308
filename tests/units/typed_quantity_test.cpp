// What people type for a quantity, and what files write for it.
#include "units/typed_quantity.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

using D = Dimension;

struct TakenCase {
    std::string_view typed;
    D dimension;
    std::string_view written;
};

const TakenCase taken[] = {
    // a number alone, where people mean one unit by it
    {"470", D::resistance, "470 Ω"},
    {" 470 ", D::resistance, "470 Ω"},
    {"0.9", D::voltage, "0.9 V"},
    {"-5", D::voltage, "-5 V"},
    {".5", D::voltage, "0.5 V"},
    {"25", D::temperature, "25 °C"},
    {"300", D::illuminance, "300 lx"},
    {"9600", D::signalling_rate, "9600 Bd"},
    {"50", D::frequency, "50 Hz"},
    {"30", D::angle, "30 °"},
    {"1.12", D::energy, "1.12 eV"},
    {"0.25", D::power, "0.25 W"},
    {"1/4", D::power, "0.25 W"},
    {"0", D::current, "0 A"},
    {"0", D::time, "0 s"},
    {"1.9", D::ratio, "1.9"},
    // what files take already, spaced alike
    {"12V", D::voltage, "12 V"},
    {"5%", D::ratio, "5 %"},
    {"5V±5%", D::voltage, "5 V ± 5 %"},
    {"5V +- 5%", D::voltage, "5 V ± 5 %"},
    {"4.75..5.25V", D::voltage, "4.75 .. 5.25 V"},
    {"120%(80..160%)", D::ratio, "120 % (80 .. 160 %)"},
    {"5 m", D::length, "5 m"},
    // letter codes stay
    {"2k2", D::resistance, "2k2"},
    {"4k7", D::resistance, "4k7"},
    {"10k", D::resistance, "10k"},
    {"R47", D::resistance, "R47"},
    {"4k7J", D::resistance, "4k7J"},
    // units as people write them
    {"12v", D::voltage, "12 V"},
    {"12 volts", D::voltage, "12 V"},
    {"12 VDC", D::voltage, "12 V"},
    {"12 V d.c.", D::voltage, "12 V"},
    {"12 V/DC", D::voltage, "12 V"},
    {"300 mv", D::voltage, "300 mV"},
    {"20 ma", D::current, "20 mA"},
    {"20 mAmp", D::current, "20 mA"},
    {"20 milliamps", D::current, "20 mA"},
    {"100 R", D::resistance, "100 Ω"},
    {"100r", D::resistance, "100 Ω"},
    {"100E", D::resistance, "100 Ω"},
    {"100 Ohm", D::resistance, "100 Ω"},
    {"10 K", D::resistance, "10 kΩ"},
    {"10 Kohm", D::resistance, "10 kΩ"},
    {"10 KΩ", D::resistance, "10 kΩ"},
    {"10 k Ω", D::resistance, "10 kΩ"},
    {"10 kilohms", D::resistance, "10 kΩ"},
    {"1 Meg", D::resistance, "1 MΩ"},
    {"1 megohm", D::resistance, "1 MΩ"},
    {"50 mOhm", D::resistance, "50 mΩ"},
    {"100 UF", D::capacitance, "100 µF"},
    {"100 microfarad", D::capacitance, "100 µF"},
    {"100 nf", D::capacitance, "100 nF"},
    {"1/4 W", D::power, "0.25 W"},
    {"1/4W", D::power, "0.25 W"},
    {"½ watt", D::power, "0.5 W"},
    {"10 sec", D::time, "10 s"},
    {"20 usec", D::time, "20 µs"},
    {"10 Min", D::time, "10 min"},
    {"100000 hrs", D::time, "100000 h"},
    {"10 yrs", D::time, "10 years"},
    {"50 hz", D::frequency, "50 Hz"},
    {"5 Mhz", D::frequency, "5 MHz"},
    {"9600 baud", D::signalling_rate, "9600 Bd"},
    {"300 lux", D::illuminance, "300 lx"},
    {"25 C", D::temperature, "25 °C"},
    {"25 degC", D::temperature, "25 °C"},
    {"25 deg C", D::temperature, "25 °C"},
    {"25°", D::temperature, "25 °C"},
    {"25 ºC", D::temperature, "25 °C"},
    {"30 degrees", D::angle, "30 °"},
    {"8 mw/sr", D::radiant_intensity, "8 mW/sr"},
    {"10 MM", D::length, "10 mm"},
    {"5 percent", D::ratio, "5 %"},
    {"-0.3 %/°C", D::per_temperature, "-0.3 %/K"},
    // a prefix alone, and a letter for the point
    {"100n", D::capacitance, "100 nF"},
    {"100 n", D::capacitance, "100 nF"},
    {"20m", D::current, "20 mA"},
    {"20u", D::time, "20 µs"},
    {"3V3", D::voltage, "3.3 V"},
    {"4n7", D::capacitance, "4.7 nF"},
    {"4r7", D::resistance, "4.7 Ω"},
    {"4k7 ohm", D::resistance, "4.7 kΩ"},
    // numbers as other places write them
    {"1,5 kΩ", D::resistance, "1.5 kΩ"},
    {"0,125 W", D::power, "0.125 W"},
    {"10 000 Ω", D::resistance, "10000 Ω"},
    {"1,000,000 Ω", D::resistance, "1000000 Ω"},
    {"1.234,5 Ω", D::resistance, "1234.5 Ω"},
    {"1,234.5 Ω", D::resistance, "1234.5 Ω"},
    {"- 5 V", D::voltage, "-5 V"},
    // limits and tolerances
    {"7 - 9.6 V", D::voltage, "7 .. 9.6 V"},
    {"7-9.6V", D::voltage, "7 .. 9.6 V"},
    {"7 – 9,6 V", D::voltage, "7 .. 9.6 V"},
    {"7 to 9.6 volts", D::voltage, "7 .. 9.6 V"},
    {"7 … 9.6", D::voltage, "7 .. 9.6 V"},
    {"7 ... 9.6 V", D::voltage, "7 .. 9.6 V"},
    {"7 V .. 9.6", D::voltage, "7 V .. 9.6 V"},
    {"-10 - 45", D::temperature, "-10 .. 45 °C"},
    {"-10--5 °C", D::temperature, "-10 .. -5 °C"},
    {"0 - 300 lux", D::illuminance, "0 .. 300 lx"},
    {"330 - 4k7", D::resistance, "330 Ω .. 4k7"},
    {"9 (7-9.6)", D::voltage, "9 V (7 .. 9.6 V)"},
    {"9 ± 0.5 V", D::voltage, "9 V ± 0.5 V"},
    {"5 ± 5%", D::voltage, "5 V ± 5 %"},
    {"470 5%", D::resistance, "470 Ω ± 5 %"},
    {"4k7 5%", D::resistance, "4k7 ± 5 %"},
    {"470 Ω, 5%", D::resistance, "470 Ω ± 5 %"},
};

TEST(TypedQuantity, BecomesWhatFilesWrite) {
    for (const TakenCase& c : taken) {
        const auto written = rewrite_quantity(c.typed, {.dimension = c.dimension});
        ASSERT_TRUE(written) << c.typed << ": " << written.error().message;
        EXPECT_EQ(written->text, c.written) << c.typed;
        const auto read = parse_spread(written->text, c.dimension);
        ASSERT_TRUE(read) << written->text;
        // Files take just what has nothing to be changed, and mean the same by it.
        const auto as_typed = parse_spread(c.typed, c.dimension);
        EXPECT_EQ(as_typed.has_value(), written->changes.empty()) << c.typed;
        if (as_typed) {
            EXPECT_EQ(as_typed->nominal, read->nominal) << c.typed;
            EXPECT_EQ(as_typed->lowest, read->lowest) << c.typed;
            EXPECT_EQ(as_typed->highest, read->highest) << c.typed;
        } else {
            EXPECT_EQ(as_typed.error().remedy, "write \"" + std::string(c.written) + "\"")
                << c.typed;
        }
        const auto again = rewrite_quantity(written->text, {.dimension = c.dimension});
        ASSERT_TRUE(again) << written->text;
        EXPECT_EQ(again->text, written->text);
        EXPECT_TRUE(again->changes.empty()) << written->text;
    }
}

struct RefusedCase {
    std::string_view typed;
    std::optional<D> dimension;
    Cause cause;
    std::string_view wrong;  // the bytes that are told
    std::string_view remedy;
    bool percent = false;
};

const RefusedCase refused[] = {
    // two ways to read it: both are written out
    {"1,500", D::resistance, Cause::not_a_quantity, "1,500", R"(write "1.500 Ω" or "1500 Ω")"},
    {"1,500 V", D::voltage, Cause::not_a_quantity, "1,500", R"(write "1.500 V" or "1500 V")"},
    {"20", D::current, Cause::missing_unit, "20", R"(write "20 mA" or "20 A")"},
    {"10 - 20", D::current, Cause::missing_unit, "20", R"(write "10 .. 20 mA" or "10 .. 20 A")"},
    {"100", D::capacitance, Cause::missing_unit, "100",
     R"(write "100 pF", "100 nF", "100 µF" or "100 F")"},
    {"70", D::power, Cause::missing_unit, "70", R"(write "70 W" or "70 mW")"},
    {"10", D::length, Cause::missing_unit, "10", R"(write "10 mm", "10 cm" or "10 m")"},
    {"30000", D::time, Cause::missing_unit, "30000",
     R"(write "30000 µs", "30000 ms", "30000 s", "30000 h" or "30000 years")"},
    {"5m", D::length, Cause::wrong_unit, "5m", R"(write "5 mm" or "5 m")"},
    {"5m", D::time, Cause::wrong_unit, "5m", R"(write "5 ms" or "5 min")"},
    {"5 mhz", D::frequency, Cause::wrong_unit, "5 mhz", R"(write "5 mHz" or "5 MHz")"},
    {"1 MOHM", D::resistance, Cause::wrong_unit, "1 MOHM", R"(write "1 mΩ" or "1 MΩ")"},
    {"1m", D::resistance, Cause::wrong_unit, "1m", R"(write "1 mΩ" or "1 MΩ")"},
    {"4E7", D::resistance, Cause::not_a_quantity, "4E7", R"(write "4.7 Ω" or "4E7 Ω")"},
    {"100 mfd", D::capacitance, Cause::wrong_unit, "100 mfd", R"(write "100 mF" or "100 µF")"},
    {"5 ± 0.5", D::voltage, Cause::missing_unit, "0.5", R"(write "5 V ± 0.5 %" or "5 V ± 0.5 V")"},
    {"9600 bps", D::signalling_rate, Cause::wrong_unit, "9600 bps",
     R"(write "9600 Bd" (where a bit is one symbol) or "19200 Bd" (where a bit is two symbols))"},
    {"0.5", D::ratio, Cause::missing_unit, "0.5", R"(write "50 %" or "0.5 %")", true},
    {"1", D::ratio, Cause::missing_unit, "1", R"(write "100 %" or "1 %")", true},
    // other units: reckoned, and left to the person
    {"10 kHz", D::signalling_rate, Cause::wrong_unit, "10 kHz",
     R"(write "20 kBd": two symbols per period)"},
    {"9600 Bd", D::frequency, Cause::wrong_unit, "9600 Bd",
     R"(write "4800 Hz": a period holds two symbols)"},
    {"77 °F", D::temperature, Cause::wrong_unit, "77 °F", R"(write "25 °C")"},
    {"0.1 in", D::length, Cause::wrong_unit, "0.1 in", R"(write "2.54 mm")"},
    {"6 months", D::time, Cause::wrong_unit, "6 months", R"(write "0.5 years")"},
    {"200 ppm/K", D::per_temperature, Cause::wrong_unit, "200 ppm/K", R"(write "0.02 %/K")"},
    // what files have no words for
    {"max 20mA", D::current, Cause::not_a_quantity, "max", R"(write "20 mA")"},
    {"<20 ma", D::current, Cause::not_a_quantity, "<", R"(write "20 mA")"},
    {"1.2V typ", D::voltage, Cause::not_a_quantity, "typ", R"(write "1.2 V")"},
    {"24VDC +10%/-15%", D::voltage, Cause::not_a_quantity, "+10%/-15%",
     R"-(write "24 V (20.4 .. 26.4 V)")-"},
    {"5 V +0.5/-0.2 V", D::voltage, Cause::not_a_quantity, "+0.5/-0.2 V",
     R"-(write "5 V (4.8 .. 5.5 V)")-"},
    {"5 lux or so", D::illuminance, Cause::wrong_unit, "5 lux", R"(write for example "300 lx")"},
    // nothing says what it is
    {"5", std::nullopt, Cause::missing_unit, "5", R"(write for example "5 V" or "10 mA")"},
    {"high", std::nullopt, Cause::missing_unit, "high", R"(write for example "5 V" or "10 mA")"},
    // in the wrong order, outside what it may be, not a quantity at all
    {"9.6 - 7 V", D::voltage, Cause::empty_spread, "9.6 - 7 V", R"(write "7 .. 9.6 V")"},
    {"9.6 .. 7 V", D::voltage, Cause::empty_spread, "9.6 .. 7 V", R"(write "7 .. 9.6 V")"},
    {"-5", D::resistance, Cause::out_of_range, "-5",
     R"(write for example "330 Ω", "4.7 kΩ" or "4k7")"},
    {"330 V", D::resistance, Cause::wrong_unit, "330 V",
     R"(write for example "330 Ω", "4.7 kΩ" or "4k7")"},
    {"choose", D::resistance, Cause::not_a_quantity, "choose",
     R"(write for example "330 Ω", "4.7 kΩ" or "4k7")"},
};

TEST(TypedQuantity, IsRefusedWithEveryReading) {
    for (const RefusedCase& c : refused) {
        const auto written =
            rewrite_quantity(c.typed, {.dimension = c.dimension, .percent = c.percent});
        ASSERT_FALSE(written) << c.typed << " became " << written->text;
        const TextError& error = written.error();
        EXPECT_EQ(cause_name(error.cause), cause_name(c.cause)) << c.typed;
        EXPECT_EQ(c.typed.substr(error.begin, error.end - error.begin), c.wrong) << c.typed;
        EXPECT_FALSE(error.message.empty()) << c.typed;
        EXPECT_EQ(error.remedy, c.remedy) << c.typed;
    }
}

TEST(TypedQuantity, OfAShareIsInPercent) {
    for (const auto& [typed, text] :
         {std::pair("5", "5 %"), std::pair("12.5", "12.5 %"), std::pair("0", "0 %"),
          std::pair("5%", "5 %"), std::pair("10 - 20", "10 .. 20 %")}) {
        const auto written = rewrite_quantity(typed, {.dimension = D::ratio, .percent = true});
        ASSERT_TRUE(written) << typed;
        EXPECT_EQ(written->text, text);
    }
}

TEST(TypedQuantity, TellsItsDimensionWhereNothingElseDoes) {
    for (const auto& [typed, text] :
         {std::pair("12v", "12 V"), std::pair("5 %", "5 %"), std::pair("100 R", "100 Ω"),
          std::pair("7 - 9.6 V", "7 .. 9.6 V")}) {
        const auto written = rewrite_quantity(typed, {});
        ASSERT_TRUE(written) << typed << ": " << written.error().remedy;
        EXPECT_EQ(written->text, text);
    }
    const auto many = rewrite_quantity("5m", {});
    ASSERT_FALSE(many);
    EXPECT_TRUE(many.error().remedy.starts_with(R"(write "5 mV", "5 mA",)"));
}

TEST(TypedQuantity, MayHoldAtConditions) {
    const D conditions[] = {D::current, D::voltage};
    const auto asked = [&](std::size_t count) {
        return WantedQuantity{.dimension = D::ratio, .conditions = std::span(conditions, count)};
    };
    for (const auto& [typed, text] :
         {std::pair("120% @ 5ma, 5v", "120 % at 5 mA, 5 V"),
          std::pair("120 % (80 - 160 %) at 5 mA; 5 V", "120 % (80 .. 160 %) at 5 mA, 5 V"),
          std::pair("120 % at 5mA,5V", "120 % at 5 mA, 5 V")}) {
        const auto written = rewrite_quantity(typed, asked(2));
        ASSERT_TRUE(written) << typed << ": " << written.error().message;
        EXPECT_EQ(written->text, text);
        EXPECT_TRUE(parse_spread_at(written->text, D::ratio, conditions));
    }
    const auto without = rewrite_quantity("120%", asked(2));
    ASSERT_FALSE(without);
    EXPECT_EQ(without.error().remedy, R"(write for example "120 % at 20 mA, 5 V")");
    const auto bare = rewrite_quantity("120 % at 5", asked(1));
    ASSERT_FALSE(bare);
    EXPECT_EQ(bare.error().remedy, R"(write "120 % at 5 mA" or "120 % at 5 A")");
}

TEST(TypedQuantity, IsOneValueWhereOneIsAsked) {
    const WantedQuantity one{.dimension = D::voltage, .form = WantedQuantity::Form::value};
    const auto value = rewrite_quantity("12v", one);
    ASSERT_TRUE(value);
    EXPECT_EQ(value->text, "12 V");
    const auto spread = rewrite_quantity("7 - 9.6 V", one);
    ASSERT_FALSE(spread);
    EXPECT_EQ(spread.error().message, "one value is wanted here, without a spread");
}

// Pieces of what people type, put together every way: what comes out is what files take.
TEST(TypedQuantity, HoldsItsPromisesForAnyText) {
    const std::string_view pieces[] = {"1,500", "4E7", "-5",   "1/4", "k7", "m", "MOHM", "°F", "%",
                                       " ",     "..",  "-",    "±",   "(",  ")", "at",   ",",  "µ",
                                       "1/",    "@",   "\xC2", "to",  "e",  "5", "Hz"};
    for (const std::string_view a : pieces) {
        for (const std::string_view b : pieces) {
            for (const std::string_view c : pieces) {
                const std::string text = std::string(a) + std::string(b) + std::string(c);
                for (std::size_t k = 0; k <= static_cast<std::size_t>(D::voltage_rate); ++k) {
                    const auto dimension = static_cast<D>(k);
                    const auto written = rewrite_quantity(text, {.dimension = dimension});
                    if (written) {
                        ASSERT_TRUE(parse_spread(written->text, dimension)) << text;
                        ASSERT_EQ(parse_spread(text, dimension).has_value(),
                                  written->changes.empty())
                            << text << " became " << written->text;
                        continue;
                    }
                    ASSERT_LE(written.error().begin, written.error().end) << text;
                    ASSERT_LE(written.error().end, text.size()) << text;
                    ASSERT_FALSE(written.error().message.empty()) << text;
                }
            }
        }
    }
}

}  // namespace
}  // namespace gapwright
