#include "units/preferred.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace gapwright {
namespace {

// The series of IEC 60063:2015, tables 1 and 2, written down from memory: no copy is at hand. In
// hundredths.
const std::vector<int> e3 = {100, 220, 470};
const std::vector<int> e6 = {100, 150, 220, 330, 470, 680};
const std::vector<int> e12 = {100, 120, 150, 180, 220, 270, 330, 390, 470, 560, 680, 820};
const std::vector<int> e24 = {100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300,
                              330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910};
const std::vector<int> e48 = {100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169,
                              178, 187, 196, 205, 215, 226, 237, 249, 261, 274, 287, 301,
                              316, 332, 348, 365, 383, 402, 422, 442, 464, 487, 511, 536,
                              562, 590, 619, 649, 681, 715, 750, 787, 825, 866, 909, 953};
const std::vector<int> e96 = {100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137,
                              140, 143, 147, 150, 154, 158, 162, 165, 169, 174, 178, 182, 187, 191,
                              196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255, 261, 267,
                              274, 280, 287, 294, 301, 309, 316, 324, 332, 340, 348, 357, 365, 374,
                              383, 392, 402, 412, 422, 432, 442, 453, 464, 475, 487, 499, 511, 523,
                              536, 549, 562, 576, 590, 604, 619, 634, 649, 665, 681, 698, 715, 732,
                              750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976};
// Those of E192 that E96 lacks.
const std::vector<int> e192_between = {
    101, 104, 106, 109, 111, 114, 117, 120, 123, 126, 129, 132, 135, 138, 142, 145,
    149, 152, 156, 160, 164, 167, 172, 176, 180, 184, 189, 193, 198, 203, 208, 213,
    218, 223, 229, 234, 240, 246, 252, 258, 264, 271, 277, 284, 291, 298, 305, 312,
    320, 328, 336, 344, 352, 361, 370, 379, 388, 397, 407, 417, 427, 437, 448, 459,
    470, 481, 493, 505, 517, 530, 542, 556, 569, 583, 597, 612, 626, 642, 657, 673,
    690, 706, 723, 741, 759, 777, 796, 816, 835, 856, 876, 898, 920, 942, 965, 988};

std::vector<int> e192() {
    std::vector<int> all = e96;
    all.insert(all.end(), e192_between.begin(), e192_between.end());
    std::ranges::sort(all);
    return all;
}

const Series every_series[] = {Series::e3,  Series::e6,  Series::e12, Series::e24,
                               Series::e48, Series::e96, Series::e192};

TEST(PreferredValues, AreThoseOfTheStandard) {
    const std::pair<Series, std::vector<int>> tables[] = {
        {Series::e3, e3},   {Series::e6, e6},   {Series::e12, e12},    {Series::e24, e24},
        {Series::e48, e48}, {Series::e96, e96}, {Series::e192, e192()}};
    for (const auto& [series, table] : tables) {
        std::vector<double> expected;
        for (const int hundredths : table) expected.push_back(hundredths / 100.0);
        const auto values = preferred_values(series);
        EXPECT_EQ(values.size(), static_cast<std::size_t>(series));
        EXPECT_EQ(std::vector<double>(values.begin(), values.end()), expected);
    }
}

TEST(PreferredNeighbours, EncloseAValue) {
    struct Case {
        double value;
        Series series;
        double below;
        double above;
    };
    const Case cases[] = {
        {290, Series::e24, 270, 300},
        {270, Series::e24, 270, 270},
        {270 * (1 + 1e-10), Series::e24, 270, 270},
        {270 * (1 - 1e-10), Series::e24, 270, 270},
        {270.001, Series::e24, 270, 300},
        {9.5, Series::e24, 9.1, 10},
        {9.999999, Series::e24, 9.1, 10},
        {10, Series::e24, 10, 10},
        {0.099, Series::e3, 0.047, 0.1},
        {1000, Series::e192, 1000, 1000},
        {5e6, Series::e12, 4.7e6, 5.6e6},
        {0.0033, Series::e6, 0.0033, 0.0033},
        {9.9, Series::e192, 9.88, 10},
    };
    for (const Case& c : cases) {
        const auto [below, above] = preferred_neighbours(c.value, c.series);
        EXPECT_EQ(below, c.below) << c.value;
        EXPECT_EQ(above, c.above) << c.value;
    }
}

TEST(PreferredNeighbours, AreNeighboursEverywhere) {
    for (const Series series : every_series) {
        const auto ratio = std::pow(10, 1.0 / static_cast<double>(series));
        for (double value = 1.1e-300; value < 1e300; value *= 1.7) {
            const auto [below, above] = preferred_neighbours(value, series);
            EXPECT_LE(below, value * (1 + 1e-9));
            EXPECT_GE(above, value * (1 - 1e-9));
            // The widest gap of any series is E24's from 2.0 to 2.2, of three digits 1.00 to 1.02.
            EXPECT_LE(above / below, ratio * 1.07) << value;
            const double nearest = nearest_preferred(value, series);
            EXPECT_TRUE(nearest == below || nearest == above);
        }
    }
}

TEST(PreferredNeighbours, OfAPreferredValueAreItself) {
    for (const Series series : every_series) {
        for (const double value : preferred_values(series)) {
            for (int exponent = -9; exponent <= 9; ++exponent) {
                const double scaled = value * std::pow(10, exponent);
                const auto [below, above] = preferred_neighbours(scaled, series);
                EXPECT_EQ(below, above) << scaled;
                EXPECT_NEAR(below / scaled, 1, 1e-12);
                EXPECT_EQ(nearest_preferred(scaled, series), below);
            }
        }
    }
}

TEST(NearestPreferred, ComparesByRatio) {
    EXPECT_EQ(nearest_preferred(284, Series::e24), 270);  // √(270 · 300) = 284.6
    EXPECT_EQ(nearest_preferred(285, Series::e24), 300);
    EXPECT_EQ(nearest_preferred(9.6, Series::e24), 10);
    EXPECT_EQ(nearest_preferred(3.2, Series::e3), 2.2);
    EXPECT_EQ(nearest_preferred(3.3, Series::e3), 4.7);
}

}  // namespace
}  // namespace gapwright
