// Answers of instruments: the forms of IEEE 488.2, and what is none of them.
#include "instrument/answers.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

TEST(Answers, NumbersInAllThreeForms) {
    const std::vector<std::pair<std::string, double>> numbers = {
        {"12", 12},         {"+12", 12},         {"-3", -3},   {"0012", 12},
        {"1.5", 1.5},       {".5", 0.5},         {"5.", 5},    {"-0.25", -0.25},
        {"1.5E-3", 1.5e-3}, {"+1.50E+03", 1500}, {"1e2", 100}, {" 1.5 ", 1.5},
    };
    for (const auto& [text, value] : numbers) {
        const auto read = parse_number(text);
        ASSERT_TRUE(read) << text;
        EXPECT_EQ(*read, value) << text;
    }
}

TEST(Answers, WhatIsNoNumberIsRefused) {
    for (const std::string text :
         {"",        " ",   "+",   "-",    ".",      "E3",    "1E",   "1E+",
          "1.2.3",   "1,5", "1 2", "0x10", "inf",    "nan",   "NaN",  "1.5V",
          "1.5E3.2", "++1", "+-1", "1_0",  "1E-400", "1E400", "1.2\n"}) {
        EXPECT_FALSE(parse_number(text)) << '"' << text << '"';
    }
    for (const std::string text : {"9.9E37", "-9.9E37", "9.91E37", "+9.910000E+37"}) {
        const auto read = parse_number(text);
        ASSERT_FALSE(read) << text;
        EXPECT_NE(read.error().find("over its range"), std::string::npos);
    }
}

TEST(Answers, Switches) {
    for (const std::string text : {"1", "ON", "on", " 1"}) EXPECT_TRUE(parse_switch(text).value());
    for (const std::string text : {"0", "OFF", "Off"}) EXPECT_FALSE(parse_switch(text).value());
    for (const std::string text : {"", "2", "10", "0.0", "yes", "O", "00"}) {
        EXPECT_FALSE(parse_switch(text)) << text;
    }
}

TEST(Answers, ErrorEntries) {
    EXPECT_EQ(parse_error_entry("0,\"No error\"")->code, 0);
    EXPECT_EQ(parse_error_entry("+0,\"No error\"")->code, 0);
    const auto entry = parse_error_entry("-113, \"Undefined header;VOLTS, 1\"");
    ASSERT_TRUE(entry);
    EXPECT_EQ(entry->code, -113);
    EXPECT_EQ(entry->text, "Undefined header;VOLTS, 1");
    for (const std::string text : {"", "0", "0,", "0,No error", "0,\"No error", "x,\"y\"",
                                   "1.5,\"y\"", ",\"y\"", "99999999999,\"y\""}) {
        EXPECT_FALSE(parse_error_entry(text)) << text;
    }
}

TEST(Answers, AnIdentityIsLikeNoOtherAnswer) {
    EXPECT_EQ(parse_identity("MAKER,MODEL,1,2.0").value(), "MAKER,MODEL,1,2.0");
    EXPECT_TRUE(parse_identity("MODEL 30 V 5 A"));
    for (const std::string text : {"", "  ", "1", "1.5E3", "ON", "0,\"No error\""}) {
        EXPECT_FALSE(parse_identity(text)) << text;
    }
}

}  // namespace
}  // namespace gapwright
