#include "units/text_scanner.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

TEST(TextScanner, ReadsNumbersAsWritten) {
    struct Case {
        std::string_view text;
        bool negative;
        std::string_view mantissa;
        int exponent;
        std::string_view rest;
    };
    const Case cases[] = {
        {"330 V", false, "330", 0, " V"},
        {" -1.5e-3V", true, "1.5", -3, "V"},
        {"\u22121.5E\u22123", true, "1.5", -3, ""},
        {"+.5e+2", false, ".5", 2, ""},
        {"5.", false, "5.", 0, ""},
        {"1..2", false, "1", 0, "..2"},
        {"1.5..2", false, "1.5", 0, "..2"},
        {"1.1eV", false, "1.1", 0, "eV"},
        {"1e", false, "1", 0, "e"},
        {"1e-", false, "1", 0, "e-"},
        {"1.2.3", false, "1.2", 0, ".3"},
        {"1e99999999999", false, "1", 9999, ""},
        {"1e-99999999999", false, "1", -9999, ""},
    };
    for (const Case& c : cases) {
        TextScanner scanner(c.text);
        const auto number = scanner.number();
        ASSERT_TRUE(number) << c.text;
        EXPECT_EQ(number->negative, c.negative) << c.text;
        EXPECT_EQ(number->mantissa, c.mantissa) << c.text;
        EXPECT_EQ(number->exponent, c.exponent) << c.text;
        EXPECT_EQ(scanner.rest(), c.rest) << c.text;
        EXPECT_EQ(number->place.end, scanner.at()) << c.text;
    }
}

TEST(TextScanner, StaysWhereNoNumberIs) {
    for (const std::string_view text : {"", " ", "-", "+", ".", "..5", "e5", "- 5", "--5", "V"}) {
        TextScanner scanner(text);
        EXPECT_FALSE(scanner.number()) << text;
        EXPECT_EQ(scanner.at(), 0U) << text;
    }
}

TEST(TextScanner, ReadsWordsUpToMarks) {
    for (const std::string_view end : {"", " x", "\u00A0x", "(x", ")", ",", "+-", "±5", "..6"}) {
        const std::string text = "kΩ/²" + std::string(end);
        TextScanner scanner(text);
        EXPECT_EQ(scanner.text(scanner.word()), "kΩ/²") << text;
        EXPECT_EQ(scanner.rest(), end) << text;
    }
}

TEST(TextScanner, TakesMarksAndWordsBehindSpaces) {
    TextScanner scanner(" \t.. at\u2009atom  \u00A0");
    EXPECT_FALSE(scanner.take("±"));
    EXPECT_EQ(scanner.at(), 0U);
    EXPECT_TRUE(scanner.take(".."));
    EXPECT_FALSE(scanner.take_word("a"));
    EXPECT_TRUE(scanner.take_word("at"));
    EXPECT_FALSE(scanner.take_word("at"));
    EXPECT_FALSE(scanner.at_end());
    EXPECT_EQ(scanner.text(scanner.remainder()), "atom");
    EXPECT_TRUE(scanner.take_word("atom"));
    EXPECT_TRUE(scanner.remainder().empty());
    EXPECT_TRUE(scanner.at_end());
}

TEST(TextScanner, HoldsOutBytesThatAreNotUtf8) {
    TextScanner scanner("5\xFF\x80\xC2");
    EXPECT_TRUE(scanner.number());
    EXPECT_EQ(scanner.text(scanner.word()), "\xFF\x80\xC2");
    EXPECT_TRUE(scanner.at_end());
}

TEST(InQuotes, ShortensLongTextsBetweenCharacters) {
    EXPECT_EQ(in_quotes("5 V"), "\"5 V\"");
    EXPECT_EQ(in_quotes(std::string(40, 'x')), '"' + std::string(40, 'x') + '"');
    EXPECT_EQ(in_quotes(std::string(41, 'x')), '"' + std::string(40, 'x') + "…\"");
    EXPECT_EQ(in_quotes(std::string(39, 'x') + "µµ"), '"' + std::string(39, 'x') + "…\"");
}

}  // namespace
}  // namespace gapwright
