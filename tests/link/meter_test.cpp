// [meter] as read, and its mistakes told with cause, line, column and remedy.
#include <gtest/gtest.h>

#include "link/need.hpp"
#include "support/told_mistake.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::Mistake;
using testing_support::plain_link;
using testing_support::with;

const char* const table = R"toml([meter]
accuracy = "± (0.3 % + 4 digits)"
current_accuracy = "± (1.5 % + 6 digits)"
resistance_accuracy = "± (0.7 % + 1 digit)"
counts = 6000
input_resistance = "11 MΩ"
burden_voltage = "0.3 V"
test_voltage = "0.4 V"
junction_voltage = "2.8 V"
junction_current = "0.6 mA"
)toml";

TEST(MeterTable, IsRead) {
    const auto link = link_from(plain_link() + table);
    ASSERT_TRUE(link) << to_text(link.error());
    const Meter& meter = link->meter;
    EXPECT_DOUBLE_EQ(meter.voltage.share, 0.003);
    EXPECT_EQ(meter.voltage.digits, 4);
    EXPECT_DOUBLE_EQ(meter.current.share, 0.015);
    EXPECT_EQ(meter.current.digits, 6);
    EXPECT_DOUBLE_EQ(meter.resistance.share, 0.007);
    EXPECT_EQ(meter.resistance.digits, 1);
    EXPECT_EQ(meter.counts, 6000);
    EXPECT_EQ(meter.input_resistance, 11e6);
    EXPECT_EQ(meter.burden_voltage, 0.3);
    EXPECT_EQ(meter.test_voltage, 0.4);
    EXPECT_EQ(meter.junction_voltage, 2.8);
    EXPECT_EQ(meter.junction_current, 0.6e-3);
    EXPECT_EQ(meter.place.text->text().substr(meter.place.begin, 5), "meter");
}

TEST(MeterTable, LeftOutIsAPlainMeter) {
    for (const char* text : {"", "[meter]\n"}) {
        const auto link = link_from(plain_link() + text);
        ASSERT_TRUE(link) << to_text(link.error());
        EXPECT_EQ(link->meter.voltage.share, 0.005);
        EXPECT_EQ(link->meter.voltage.digits, 2);
        EXPECT_EQ(link->meter.counts, 2000);
        EXPECT_EQ(link->meter.input_resistance, 10e6);
    }
}

TEST(MeterTable, ReadsAccuraciesAsTheyAreWritten) {
    struct Case {
        const char* text;
        double share;
        double digits;
    };
    const Case cases[] = {
        {"± (0.5 % + 2 digits)", 0.005, 2},
        {"±(0.5%+2digits)", 0.005, 2},
        {"(0.5 % + 2 digits)", 0.005, 2},
        {"0.5 % + 2 digits", 0.005, 2},
        {"+- 0.5 % + 2", 0.005, 2},
        {"+-(0.5 % + 2)", 0.005, 2},
        {"+/- (0.5 % + 2)", 0.005, 2},
        {"0.5 % + 2", 0.005, 2},
        {"2 digits + 0.5 %", 0.005, 2},
        {"± 0.5 %", 0.005, 0},
        {"0.5 %", 0.005, 0},
        {"1 digit", 0, 1},
        {"± 1 digit", 0, 1},
        {"0 % + 1 digit", 0, 1},
        {" ±\u00A0(\u202F0.05\u00A0%\u00A0+ 0.5 digits ) ", 0.0005, 0.5},
    };
    for (const Case& c : cases) {
        const auto link =
            link_from(plain_link() + "[meter]\naccuracy = \"" + std::string(c.text) + "\"\n");
        ASSERT_TRUE(link) << c.text << '\n' << to_text(link.error());
        EXPECT_DOUBLE_EQ(link->meter.voltage.share, c.share) << c.text;
        EXPECT_EQ(link->meter.voltage.digits, c.digits) << c.text;
    }
}

class BadMeter : public testing::TestWithParam<Mistake> {};

TEST_P(BadMeter, IsToldWithPlaceAndRemedy) {
    testing_support::expect_told(plain_link() + table, GetParam());
}

const char* const voltage = "\"± (0.3 % + 4 digits)\"";

const Mistake mistakes[] = {
    {"Key", "accuracy =", "acuracy =", Cause::unknown_key, "acuracy", "did you mean \"accuracy\""},
    {"KeyOfTheTrade", "counts =", "digits =", Cause::unknown_key, "digits", "counts"},
    {"NotATable",
     "[meter]\naccuracy = \"± (0.3 % + 4 digits)\"\ncurrent_accuracy = \"± (1.5 % + 6 digits)\"\n"
     "resistance_accuracy = \"± (0.7 % + 1 digit)\"\ncounts = 6000\ninput_resistance = \"11 MΩ\"\n"
     "burden_voltage = \"0.3 V\"\ntest_voltage = \"0.4 V\"\njunction_voltage = \"2.8 V\"\n"
     "junction_current = \"0.6 mA\"\n",
     "[[meter]]\n", Cause::wrong_type, "[[meter]]", "[meter] is a table"},
    {"AccuracyPlain", voltage, "0.5", Cause::wrong_type, "0.5", "± (0.5 % + 2 digits)"},
    {"AccuracyEmpty", voltage, "\"\"", Cause::not_a_quantity, "", "is missing here"},
    {"AccuracySignAlone", voltage, "\"±\"", Cause::not_a_quantity, "", "is missing here"},
    {"AccuracyNumberAlone", voltage, "\"± 2\"", Cause::missing_unit, "2", "a number alone"},
    {"AccuracyOpen", voltage, "\"± (0.5 % + 2 digits\"", Cause::not_a_quantity,
     "± (0.5 % + 2 digits", "not closed"},
    {"AccuracyClosed", voltage, "\"0.5 % + 2)\"", Cause::not_a_quantity, ")", "not expected"},
    {"AccuracyWord", voltage, "\"± (0.5 % + 2 ditgits)\"", Cause::wrong_unit, "2 ditgits",
     "± (0.5 % + 2 digits)"},
    {"AccuracyUnit", voltage, "\"± (0.5 % + 2 mV)\"", Cause::wrong_unit, "2 mV", "neither a share"},
    {"AccuracyNoNumber", voltage, "\"exact\"", Cause::not_a_quantity, "exact", "is not a ratio"},
    {"AccuracyNoCount", voltage, "\"0.5 % + digits\"", Cause::not_a_quantity, "digits", "how many"},
    {"AccuracyHalf", voltage, "\"0.5 % +\"", Cause::not_a_quantity, "", "is missing here"},
    {"AccuracyTwoShares", voltage, "\"0.5 % + 2 %\"", Cause::not_a_quantity, "2 %", "one share"},
    {"AccuracyThree", voltage, "\"0.5 % + 2 + 3\"", Cause::not_a_quantity, "3",
     "one number of digits"},
    {"AccuracyNegative", voltage, "\"-0.5 % + 2\"", Cause::out_of_range, "-0.5 %", "50 %"},
    {"AccuracyNegativeDigits", voltage, "\"0.5 % + -2\"", Cause::out_of_range, "-2", "999"},
    {"AccuracyOfNothing", voltage, "\"60 %\"", Cause::out_of_range, "60 %", "50 %"},
    {"AccuracyExact", voltage, "\"0 % + 0\"", Cause::out_of_range, "0 % + 0", "without error"},
    {"AccuracyComma", voltage, "\"0,5 % + 2\"", Cause::not_a_quantity, "0,5", "a point"},
    {"CurrentAccuracy", "1.5 % + 6", "1.5 V + 6", Cause::wrong_unit, "1.5 V", "neither a share"},
    {"ResistanceAccuracy", "\"± (0.7 % + 1 digit)\"", "true", Cause::wrong_type, "true",
     "resistance_accuracy is a text"},
    {"CountsText", "counts = 6000", "counts = \"6000\"", Cause::wrong_type, "\"6000\"",
     "counts = 2000"},
    {"CountsFraction", "counts = 6000", "counts = 3.5", Cause::wrong_type, "3.5", "whole number"},
    {"CountsFew", "counts = 6000", "counts = 199", Cause::out_of_range, "199", "between 200 and"},
    {"CountsMany", "counts = 6000", "counts = 10000001", Cause::out_of_range, "10000001",
     "10000000"},
    {"InputUnit", "\"11 MΩ\"", "\"11 MV\"", Cause::wrong_unit, "11 MV", "ohms"},
    {"InputPlain", "\"11 MΩ\"", "11e6", Cause::missing_unit, "11e6", "in which unit"},
    {"InputZero", "\"11 MΩ\"", "\"0 Ω\"", Cause::out_of_range, "\"0 Ω\"", "above zero"},
    {"InputSpread", "\"11 MΩ\"", "\"11 MΩ ± 1 %\"", Cause::contradiction, "\"11 MΩ ± 1 %\"",
     "without a spread"},
    {"BurdenNegative", "\"0.3 V\"", "\"-0.3 V\"", Cause::out_of_range, "\"-0.3 V\"", "below zero"},
    {"TestZero", "\"0.4 V\"", "\"0 V\"", Cause::out_of_range, "\"0 V\"", "above zero"},
    {"JunctionVoltage", "\"2.8 V\"", "\"2.8 mA\"", Cause::wrong_unit, "2.8 mA", "volts"},
    {"JunctionCurrent", "\"0.6 mA\"", "\"0.6 V\"", Cause::wrong_unit, "0.6 V", "amperes"},
};

INSTANTIATE_TEST_SUITE_P(All, BadMeter, testing::ValuesIn(mistakes),
                         [](const auto& tested) { return tested.param.name; });

// One message as a person sees it, with line, column and caret.
TEST(MeterTable, TellsTheStretchThatIsWrong) {
    const auto link = link_from(plain_link() + "[meter]\naccuracy = \"± (0.5 % + 2 volts)\"\n");
    ASSERT_FALSE(link);
    const std::string shown = to_text(link.error());
    EXPECT_TRUE(
        shown.starts_with("test.link.toml:22:24: error: this is neither a share in percent"))
        << shown;
    EXPECT_NE(shown.find(
                  "| accuracy = \"± (0.5 % + 2 volts)\"\n      |                        ^~~~~~~\n"),
              std::string::npos)
        << shown;
}

TEST(MeterTable, TellsAllOfItsMistakesAtOnce) {
    const auto link =
        link_from(plain_link() + "[meter]\naccuracy = \"good\"\ncounts = 1\ntest_voltage = 1\n");
    ASSERT_FALSE(link);
    EXPECT_EQ(link.error().size(), 3U) << to_text(link.error());
}

TEST(MeterTable, IsReadInANeedToo) {
    const std::string need = R"(input.supply = "5 V"
output.supply = "12 V"
[need.drive]
card = "logic-output-5v"
[need.load]
kind = "load"
resistance = "1 kΩ"
current = "5 mA"
[meter]
counts = 2000
)";
    const auto read = [](const std::string& text) {
        return read_need(std::make_shared<const SourceText>("test.link.toml", text),
                         "no-such-folder");
    };
    const auto sound = read(need);
    ASSERT_TRUE(sound) << to_text(sound.error());
    const auto wrong = read(with(need, "counts =", "count ="));
    ASSERT_FALSE(wrong);
    EXPECT_NE(to_text(wrong.error()).find("did you mean \"counts\""), std::string::npos);
}

}  // namespace
}  // namespace gapwright
