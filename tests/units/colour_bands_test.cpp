// Colour bands and markings of resistors: what is written is read back as the same value.
#include "units/colour_bands.hpp"

#include <gtest/gtest.h>

#include "units/decimal.hpp"
#include "units/preferred.hpp"

namespace gapwright {
namespace {

using enum BandColour;

// Every value of a series, as the double nearest to its figures: hundredths · 10^(decade − 2).
void for_each_value(Series series, int first_decade, int last_decade,
                    const std::function<void(double ohms)>& look) {
    for (int decade = first_decade; decade <= last_decade; ++decade) {
        for (const double v : preferred_values(series)) {
            const auto hundredths = std::to_string(std::lround(v * 100));
            look(*decimal_value(hundredths, decade - 2));
        }
    }
}

void expect_read_back(double ohms, double tolerance, std::size_t count) {
    const auto bands = colour_bands(ohms, tolerance);
    ASSERT_TRUE(bands) << ohms;
    EXPECT_EQ(bands->size(), count) << ohms;
    const auto value = read_colour_bands(*bands);
    ASSERT_TRUE(value) << ohms;
    EXPECT_EQ(value->ohms, ohms);
    EXPECT_EQ(value->tolerance, tolerance);
}

TEST(ColourBands, FourOfThemReadBackAsTheValue) {
    std::size_t values = 0;
    for_each_value(Series::e24, -1, 6, [&](double ohms) {
        ++values;
        for (const double tolerance : {0.05, 0.1}) expect_read_back(ohms, tolerance, 4);
    });
    EXPECT_EQ(values, 24U * 8U);
    expect_read_back(10e6, 0.05, 4);
}

TEST(ColourBands, FiveOfThemReadBackAsTheValue) {
    std::size_t values = 0;
    for_each_value(Series::e96, 0, 6, [&](double ohms) {
        ++values;
        for (const double tolerance : {0.02, 0.01, 0.005, 0.0025, 0.001, 0.0005}) {
            expect_read_back(ohms, tolerance, 5);
        }
    });
    EXPECT_EQ(values, 96U * 7U);
    expect_read_back(10e6, 0.01, 5);
}

TEST(ColourBands, AreThoseOfWellKnownParts) {
    struct Row {
        double ohms;
        double tolerance;
        std::string_view words;
    };
    // Examples as textbooks and parts' bags print them, from memory.
    const Row rows[] = {
        {4700, 0.05, "yellow violet red gold"},      {330, 0.05, "orange orange brown gold"},
        {1000, 0.1, "brown black red silver"},       {1e6, 0.05, "brown black green gold"},
        {4.7, 0.05, "yellow violet gold gold"},      {0.22, 0.05, "red red silver gold"},
        {10e3, 0.01, "brown black black red brown"}, {4990, 0.01, "yellow white white brown brown"},
        {249, 0.02, "red yellow white black red"},   {68e3, 0.2, "blue grey orange"},
        {82.5, 0.005, "grey red green gold green"},  {255e3, 0.05, "red green green orange gold"},
    };
    for (const Row& row : rows) {
        const auto bands = colour_bands(row.ohms, row.tolerance);
        ASSERT_TRUE(bands) << row.ohms;
        EXPECT_EQ(colour_words(*bands), row.words);
        EXPECT_EQ(read_colour_bands(*bands)->ohms, row.ohms);
        EXPECT_EQ(read_colour_bands(*bands)->tolerance, row.tolerance);
    }
}

TEST(ColourBands, HoldThroughRounding) {
    const auto bands = colour_bands(2.2 * 1000, 1 - 0.95);  // neither is the double meant
    ASSERT_TRUE(bands);
    EXPECT_EQ(colour_words(*bands), "red red red gold");
}

TEST(ColourBands, SayNothingOfWhatTheyCannotSay) {
    for (const auto& [ohms, tolerance] : {std::pair(1234.0, 0.01),
                                          {255e3, 0.2},
                                          {0.047, 0.05},
                                          {1e11, 0.05},
                                          {1e12, 0.01},
                                          {0.5, 0.01},
                                          {0.0, 0.05},
                                          {-10.0, 0.05},
                                          {1000.0, 0.03},
                                          {1000.0, 0.0},
                                          {std::nan(""), 0.05},
                                          {INFINITY, 0.05}}) {
        EXPECT_FALSE(colour_bands(ohms, tolerance)) << ohms << " " << tolerance;
    }
}

TEST(ColourBands, AreNotReadWhereNoPartHasThem) {
    const ColourBands impossible[] = {{},
                                      {red, red},
                                      {red, red, red, red, red, red},
                                      {gold, red, red, gold},
                                      {red, silver, red, gold},
                                      {black, red, red, gold},
                                      {red, red, red, black},
                                      {red, red, red, red, white}};
    for (const auto& bands : impossible) {
        EXPECT_FALSE(read_colour_bands(bands)) << colour_words(bands);
    }
}

TEST(MarkingCode, HasTwoFiguresAndTheToleranceLetter) {
    struct Row {
        double ohms;
        double tolerance;
        std::string_view code;
    };
    // Forms of IEC 60062, from memory.
    const Row rows[] = {{4700, 0.05, "4K7J"}, {330, 0.05, "330RJ"},     {1000, 0.01, "1K0F"},
                        {10e3, 0.1, "10KK"},  {1e6, 0.2, "1M0M"},       {0.47, 0.02, "R47G"},
                        {0.1, 0.05, "R10J"},  {59040, 0.001, "59K04B"}, {0.001, 0.05, "1L0J"},
                        {4700, 0.03, "4K7"},  {1, 0.005, "1R0D"},       {249, 0.0025, "249RC"}};
    for (const Row& row : rows) {
        const auto code = marking_code(row.ohms, row.tolerance);
        ASSERT_TRUE(code) << row.ohms;
        EXPECT_EQ(*code, row.code);
        EXPECT_EQ(parse_letter_code(*code)->ohms, row.ohms);
    }
    for (const double ohms : {0.0, 12345.6, 1e-4, 1e12, std::nan("")}) {
        EXPECT_FALSE(marking_code(ohms, 0.05)) << ohms;
    }
}

}  // namespace
}  // namespace gapwright
