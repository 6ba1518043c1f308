// Readings as people and spreadsheets write them: read, refused, written.
#include "bench/sessions/readings_file.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <limits>

namespace gapwright {
namespace {

using enum MeasurementKind;
constexpr double infinity = std::numeric_limits<double>::infinity();

Measurement measurement(MeasurementKind kind, std::string measure, std::string state) {
    return {.kind = kind, .measure = std::move(measure), .state = std::move(state)};
}

std::vector<Measurement> known() {
    const std::string off(unpowered);
    return {measurement(voltage, "voltage at coil", "on"),
            measurement(current, "current of supply", "on"),
            measurement(voltage, "voltage at coil", "off"),
            measurement(voltage, "voltage at base, of Q1", "off"),
            measurement(resistance, "resistance of R1", off),
            measurement(junction, "junction of D1", off),
            measurement(isolation, "isolation", off)};
}

Expected<std::vector<Reading>> read(const std::string& text) {
    return read_readings(std::make_shared<const SourceText>("bench.csv", text), known());
}

// "0=4.32 4=330" of what was read, or its errors.
std::string read_as(const std::string& text) {
    const auto readings = read(text);
    if (!readings) return to_text(readings.error());
    std::string all;
    for (const auto& r : *readings) {
        all += (all.empty() ? "" : " ") + fmt::format("{}={}", r.measurement, r.value);
    }
    return all;
}

TEST(ReadingsFile, ReadsWhatPeopleAndSpreadsheetsWrite) {
    const std::string header = "state,measure,value\n";
    const std::pair<std::string, std::string> cases[] = {
        {header, ""},
        {header + "on,voltage at coil,4.32 V\n", "0=4.32"},
        {header + "on,voltage at coil,4.32\n", "0=4.32"},
        {header + "on,voltage at coil,\"4,32 V\"\n", "0=4.32"},
        {header + "on,voltage at coil,−5 V\n", "0=-5"},
        {header + "on,voltage at coil,11 V\n", "0=11"},
        {header + "on,current of supply,12 mA\n", "1=0.012"},
        {header + "on,current of supply,-0.012\n", "1=-0.012"},
        {header + "off,\"voltage at base, of Q1\",650 mV\n", "3=0.65"},
        {header + "unpowered,resistance of R1,330 Ω\nunpowered,resistance of R1,\n", "4=330"},
        {header + "unpowered,resistance of R1,4k7\n", "4=4700"},
        {header + "unpowered,resistance of R1,330\n", "4=330"},
        {header + "unpowered,resistance of R1,over range\n", "4=inf"},
        {header + "unpowered,junction of D1,OL\n", "5=inf"},
        {header + "unpowered,isolation,Over\n", "6=inf"},
        {header + "unpowered,isolation,∞\n", "6=inf"},
        {header + "on,voltage at coil,\non,no such thing,\n,,\n", ""},
        {"Value, STATE ,Measure\n 4.32 V , on , voltage at coil \n", "0=4.32"},
        {"state,measure,nominal,value,note\non,voltage at coil,4.3 V,4.32 V,\"hm, low\"\n",
         "0=4.32"},
        {"\uFEFFstate;measure;value\r\n\r\non;voltage at coil;4,32 V\r\n;;\r\n", "0=4.32"},
        {"state;measure;value\noff;voltage at base, of Q1;,65 V\n", "3=0.65"},
        {"state\tmeasure\tvalue\non\tvoltage at coil\t4,32\n", "0=4.32"},
        {"\"state\",\"measure\",\"value\"\n\"on\", \"voltage at coil\" ,\"4.32 V\"\n", "0=4.32"},
        {header + "off,voltage at coil,2 V\n   \non,voltage at coil,1 V", "2=2 0=1"},
    };
    for (const auto& [text, expected] : cases) EXPECT_EQ(read_as(text), expected) << text;
}

TEST(ReadingsFile, KeepsThePlaceOfAValue) {
    const auto readings = read("state;measure;value\non;voltage at coil; 4,32 V ;\n");
    ASSERT_FALSE(readings);  // a field too many
    const auto sound = read("state;measure;value\non;voltage at coil; 4,32 V \n");
    ASSERT_TRUE(sound);
    const Place& place = sound->at(0).place;
    EXPECT_EQ(place.text->text().substr(place.begin, place.end - place.begin), "4,32 V");
}

struct Mistake {
    std::string name;
    std::string text;  // behind the header
    Cause cause;
    std::string under;  // the caret
    std::string told;   // line and column, part of the message
    std::string remedy;
};

void PrintTo(const Mistake& mistake, std::ostream* out) {
    *out << mistake.name;
}

class BadReadings : public testing::TestWithParam<Mistake> {};

TEST_P(BadReadings, AreToldWithPlaceAndRemedy) {
    const Mistake& m = GetParam();
    const auto readings = read("state;measure;value\n" + m.text);
    ASSERT_FALSE(readings) << "nothing was told";
    ASSERT_EQ(readings.error().size(), 1U) << to_text(readings.error());
    const Diagnostic& found = readings.error().front();
    const std::string shown = to_text(found);
    EXPECT_EQ(found.cause, m.cause) << shown;
    EXPECT_EQ(
        found.place.text->text().substr(found.place.begin, found.place.end - found.place.begin),
        m.under);
    EXPECT_TRUE(shown.starts_with("bench.csv:" + m.told)) << shown;
    EXPECT_NE(found.remedy.find(m.remedy), std::string::npos) << shown;
}

const Mistake mistakes[] = {
    {"State", "onn;voltage at coil;4 V", Cause::unknown_name, "onn",
     "2:1: error: there is no state \"onn\" (did you mean \"on\"?)", "on, off, unpowered"},
    {"Capitals", "On;voltage at coil;4 V", Cause::unknown_name, "On",
     "2:1: error: there is no state \"On\" (did you mean \"on\"?)", "on, off, unpowered"},
    {"Measure", "on;voltage at coli;4 V", Cause::unknown_name, "voltage at coli",
     "2:4: error: nothing called \"voltage at coli\" is measured in state \"on\" (did you mean "
     "\"voltage at coil\"?)",
     "write for example voltage at coil"},
    {"OtherState", "on;isolation;4 Ω", Cause::unknown_name, "isolation",
     "2:4: error: \"isolation\" is not measured in state \"on\", but in \"unpowered\"",
     "voltage at coil"},
    {"Unit", "on;voltage at coil;4,3 Ω", Cause::wrong_unit, "4,3 Ω",
     "2:20: error: a voltage is in volts, not ohms", "V"},
    {"UnitOfCurrent", "on;current of supply;4 mV", Cause::wrong_unit, "4 mV",
     "2:22: error: a current is in amperes, not volts", "mA"},
    {"NoNumber", "on;voltage at coil;much", Cause::not_a_quantity, "much",
     "2:20: error: \"much\" is not a voltage", "V"},
    {"NaN", "on;voltage at coil;nan", Cause::not_a_quantity, "nan", "2:20: error: \"nan\"", "V"},
    {"Infinite", "on;voltage at coil;1e999", Cause::out_of_range, "1e999", "2:20: error: ", "V"},
    {"Percent", "on;voltage at coil;40 %", Cause::wrong_unit, "40 %", "2:20: error: a voltage is",
     "V"},
    {"Thousands", "on;voltage at coil;1,200.5 V", Cause::not_a_quantity, ".",
     "2:25: error: a number has one decimal sign", "1200"},
    {"TwoCommas", "on;voltage at coil;1,200,5 V", Cause::not_a_quantity, ",",
     "2:25: error: a number has one decimal sign", "1200"},
    {"LeftOver", "on;voltage at coil;4 V or so", Cause::not_a_quantity, "or so",
     "2:24: error: \"or so\" is not expected", "V"},
    {"Negative", "unpowered;resistance of R1;-4", Cause::out_of_range, "-4",
     "2:28: error: a resistance is never below zero", "Ω"},
    {"NegativeUnit", "unpowered;isolation;-4 MΩ", Cause::out_of_range, "-4 MΩ",
     "2:21: error: a resistance is never below zero", "Ω"},
    {"VoltageOver", "on;voltage at coil;OL", Cause::out_of_range, "OL",
     "2:20: error: a voltage over range", "higher range"},
    {"CurrentOver", "on;current of supply;over range", Cause::out_of_range, "over range",
     "2:22: error: a current over range", "higher range"},
    {"Twice", "on;voltage at coil;4 V\noff;voltage at coil;1 V\non;voltage at coil;5 V",
     Cause::contradiction, "5 V",
     "4:20: error: \"voltage at coil\" in state \"on\" stands in line 2 and again in line 4",
     "keep the reading"},
    {"TooMany", "on;voltage at coil;4;V", Cause::not_csv, "on;voltage at coil;4;V",
     "2:1: error: this row has 4 fields, the header has 3", "semicolon"},
};

INSTANTIATE_TEST_SUITE_P(All, BadReadings, testing::ValuesIn(mistakes),
                         [](const auto& tested) { return tested.param.name; });

TEST(ReadingsFile, TellsTheFirstPlaceToo) {
    const auto readings =
        read("state,measure,value\non,voltage at coil,x\non,voltage at coil,5 V\n");
    ASSERT_FALSE(readings);
    ASSERT_EQ(readings.error().size(), 2U);
    ASSERT_TRUE(readings.error()[1].other);
    EXPECT_EQ(readings.error()[1].other->text->line_column(readings.error()[1].other->begin).line,
              2U);
}

TEST(ReadingsFile, NeedsItsColumnsOnce) {
    const auto told = [](const std::string& text) {
        const auto readings = read(text);
        return readings ? std::string("read") : to_text(readings.error());
    };
    const std::string none = told("condition,what,reading\non,voltage at coil,1 V\n");
    for (const std::string column : {"state", "measure", "value"}) {
        EXPECT_NE(none.find("the file has no column \"" + column + "\""), std::string::npos);
    }
    EXPECT_NE(none.find("[missing-key]"), std::string::npos);
    EXPECT_NE(told("state,measure,value,Value\n").find("two columns \"value\""), std::string::npos);
    EXPECT_NE(told("").find("no header"), std::string::npos);
}

TEST(ReadingsFile, TellsAllOfItsMistakesAtOnce) {
    const auto readings = read(
        "state,measure,value\nonn,voltage at coil,1 V\non,voltage,1 V\non,voltage at coil,1 A\n"
        "off,voltage at coil\noff,voltage at coil,2 V\n");
    ASSERT_FALSE(readings);
    EXPECT_EQ(readings.error().size(), 4U) << to_text(readings.error());
}

TEST(ReadingsFile, ReadsBackWhatItWrites) {
    std::vector<Reading> readings;
    const std::vector<double> values = {4.32,     -0.0123, 1.0 / 3, 1e-7, 330,
                                        infinity, 4.7e12,  1e-20,   0};
    for (const double value : values) {
        const std::size_t which = value == infinity ? 6 : readings.size() % 4;
        readings = {{.measurement = which, .value = value}, {.measurement = 4, .value = 1e6 / 7}};
        const std::string csv = readings_csv(known(), readings);
        const auto back = read(csv);
        ASSERT_TRUE(back) << to_text(back.error());
        ASSERT_EQ(back->size(), 2U);
        for (std::size_t k = 0; k < 2; ++k) {
            EXPECT_EQ((*back)[k].measurement, readings[k].measurement) << csv;
            EXPECT_EQ((*back)[k].value, readings[k].value) << csv;
        }
    }
    EXPECT_EQ(readings_csv(known(), {{.measurement = 3, .value = 0.65}}),
              "state,measure,value\r\noff,\"voltage at base, of Q1\",650 mV\r\n");
}

// Names hold whatever a link file lets them hold.
TEST(ReadingsFile, ReadsBackStrangeNames) {
    const std::vector<Measurement> strange = {
        measurement(voltage, "a \"quoted\"; thing", " on,\noff\t"),
        measurement(voltage, "", "x;y;z;w;v"), measurement(voltage, "\r", "")};
    std::vector<Reading> readings;
    for (std::size_t k = 0; k < strange.size(); ++k) {
        readings.push_back({.measurement = k, .value = static_cast<double>(k)});
    }
    const auto back = read_readings(
        std::make_shared<const SourceText>("bench.csv", readings_csv(strange, readings)), strange);
    ASSERT_TRUE(back) << to_text(back.error());
    ASSERT_EQ(back->size(), strange.size());
    for (std::size_t k = 0; k < strange.size(); ++k) EXPECT_EQ((*back)[k].measurement, k);
}

TEST(ReadingsFile, AnEmptyFormHasNoReadings) {
    const std::string form = readings_form(known());
    EXPECT_EQ(std::ranges::count(form, '\n'), 8);
    EXPECT_TRUE(form.starts_with("state,measure,value\r\non,voltage at coil,\r\n"));
    EXPECT_EQ(read_as(form), "");
    EXPECT_EQ(read_as(form.substr(0, form.find("\r\noff")) + "3 mA"), "1=0.003");
}

}  // namespace
}  // namespace gapwright
