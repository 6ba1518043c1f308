// The letter code of IEC 60062, the lower half of units/preferred.hpp.
#include <gtest/gtest.h>

#include <cmath>

#include "units/preferred.hpp"

namespace gapwright {
namespace {

TEST(LetterCode, IsRead) {
    struct Case {
        std::string_view text;
        double ohms;
        double tolerance;  // 0 for none
    };
    const Case cases[] = {
        {"4k7", 4700, 0},       {"4K7", 4700, 0},      {"330R", 330, 0},
        {"R47", 0.47, 0},       {"0R47", 0.47, 0},     {"1M0", 1e6, 0},
        {"10k", 1e4, 0},        {"10K", 1e4, 0},       {"2G2", 2.2e9, 0},
        {"5L", 0.005, 0},       {"4L7", 0.0047, 0},    {"0R", 0, 0},
        {"59k04", 59040, 0},    {"R047", 0.047, 0},    {"4k7B", 4700, 0.001},
        {"4k7C", 4700, 0.0025}, {"4k7D", 4700, 0.005}, {"4k7F", 4700, 0.01},
        {"4k7G", 4700, 0.02},   {"4k7J", 4700, 0.05},  {"4k7K", 4700, 0.1},
        {"4k7M", 4700, 0.2},    {"10KK", 1e4, 0.1},    {"10MM", 1e7, 0.2},
        {"330RJ", 330, 0.05},   {"R47G", 0.47, 0.02},  {"123456k789", 123456789, 0},
    };
    for (const Case& c : cases) {
        const auto code = parse_letter_code(c.text);
        ASSERT_TRUE(code) << c.text;
        EXPECT_EQ(code->ohms, c.ohms) << c.text;
        EXPECT_EQ(code->tolerance.value_or(0), c.tolerance) << c.text;
    }
}

TEST(LetterCode, IsNothingElse) {
    for (const std::string_view text :
         {"", "R", "k", "47", "4.7k", "4k7 ", " 4k7", "4k7X", "4k7JJ", "4k7R", "-4k7", "4m7", "4r7",
          "4k7Ω", "1234567k890", "4µ7", "kk", "4k-7"}) {
        EXPECT_FALSE(parse_letter_code(text)) << text;
    }
}

TEST(LetterCode, IsWritten) {
    const std::pair<double, std::string_view> cases[] = {
        {4700, "4k7"},      {330, "330R"},   {0.47, "R47"},    {1e6, "1M"},      {1e4, "10k"},
        {0.001, "1L"},      {0.0047, "4L7"}, {0.01, "R01"},    {0.047, "R047"},  {1, "1R"},
        {12.5, "12R5"},     {999.96, "1k"},  {1234, "1k234"},  {12345, "12k34"}, {999e9, "999G"},
        {999.9e3, "999k9"}, {2.2e9, "2G2"},  {59040, "59k04"},
    };
    for (const auto& [ohms, text] : cases) EXPECT_EQ(letter_code(ohms), text);
}

TEST(LetterCode, IsReadBackAsTheSameValue) {
    for (const double value : preferred_values(Series::e192)) {
        for (int exponent = -3; exponent <= 11; ++exponent) {
            const double ohms = value * std::pow(10, exponent);
            const std::string text = letter_code(ohms);
            const auto code = parse_letter_code(text);
            ASSERT_TRUE(code) << text;
            EXPECT_NEAR(code->ohms / ohms, 1, 1e-14) << text;
            EXPECT_FALSE(code->tolerance) << text;
            EXPECT_LE(text.size(), 5U) << text;
        }
    }
}

}  // namespace
}  // namespace gapwright
