// Scales of marks against maps that are known.
#include "chart/chart_marks.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>
#include <vector>

#include "synthetic_curves.hpp"

namespace gapwright::testing {
namespace {

// A plane seen by a pinhole camera: fractions of a plot to pixels, written down without the code
// under test. Strength 0 is affine.
PixelPoint seen(double u, double v, double strength) {
    const double w = 1 + strength * (0.4 * u - 0.3 * v);
    return {.x = (120 + 800 * u + 30 * v) / w, .y = (700 + 40 * u - 560 * v) / w};
}

ChartMark corner(double u, double v, double strength) {
    return {.at = seen(u, v, strength), .x = 2 + 8 * u, .y = std::pow(10, 3 * v - 1)};
}

std::vector<ChartMark> corners(double strength) {
    return {corner(0, 0, strength), corner(1, 0, strength), corner(1, 1, strength),
            corner(0, 1, strength)};
}

constexpr LogAxes y_log = {.x = false, .y = true};

TEST(ChartMarks, FourCornersReadAPictureTakenAtAnAngle) {
    for (const double strength : {0.0, 0.2, 0.5, 1.0}) {
        const auto marked = scale_of_marks(corners(strength), y_log);
        ASSERT_TRUE(marked);
        EXPECT_LT(marked->worst_off(), 1e-9);
        EXPECT_EQ(marked->spare, 0);
        for (double u = -0.1; u <= 1.1; u += 0.1) {
            for (double v = 0; v <= 1; v += 0.1) {
                const ChartPoint value = marked->scale.to_value(seen(u, v, strength));
                EXPECT_NEAR(value.x, 2 + 8 * u, 1e-9);
                EXPECT_NEAR(std::log10(value.y), 3 * v - 1, 1e-9);
                const PixelPoint back = marked->scale.to_pixel(value);
                EXPECT_NEAR(back.x, seen(u, v, strength).x, 1e-6);
                EXPECT_NEAR(back.y, seen(u, v, strength).y, 1e-6);
            }
        }
    }
}

// Values of one axis alone count too: two on each border of the plot are eight statements.
TEST(ChartMarks, MarksOfOneAxisOnAllBordersDoAsWell) {
    std::vector<ChartMark> marks;
    for (const double far : {0.0, 1.0}) {
        for (const double at : {0.1, 0.8}) {
            marks.push_back({.at = seen(at, far, 0.5), .x = 2 + 8 * at});
            marks.push_back({.at = seen(far, at, 0.5), .y = std::pow(10, 3 * at - 1)});
        }
    }
    const auto marked = scale_of_marks(marks, y_log);
    ASSERT_TRUE(marked);
    const ChartPoint value = marked->scale.to_value(seen(0.4, 0.6, 0.5));
    EXPECT_NEAR(value.x, 5.2, 1e-6);
    EXPECT_NEAR(std::log10(value.y), 0.8, 1e-6);
}

// Nine marks, each a pixel off: better than four, and `off` tells how well they agree.
TEST(ChartMarks, MoreMarksAreFittedByLeastSquares) {
    std::mt19937 random(5);
    double four = 0, nine = 0;
    for (int round = 0; round < 40; ++round) {
        std::vector<ChartMark> marks;
        for (const double u : {0.0, 1.0, 0.5}) {
            for (const double v : {0.0, 1.0, 0.5}) {
                ChartMark mark = corner(u, v, 0.4);
                mark.at.x += uniform(random, -1.7, 1.7);
                mark.at.y += uniform(random, -1.7, 1.7);
                marks.push_back(mark);
            }
        }
        const std::vector<ChartMark> first = {marks[0], marks[1], marks[3], marks[4]};
        const auto few = scale_of_marks(first, y_log), all = scale_of_marks(marks, y_log);
        ASSERT_TRUE(few && all);
        EXPECT_EQ(all->spare, 10);
        EXPECT_GT(all->worst_off(), 0.3);
        EXPECT_LT(all->worst_off(), 4);
        for (const auto& [u, v] : {std::pair{0.3, 0.7}, {0.8, 0.2}, {0.5, 0.5}}) {
            const auto error = [&](const MarkedScale& marked) {
                const ChartPoint f = marked.scale.to_fraction(seen(u, v, 0.4));
                return std::pow(f.x - u, 2) + std::pow(f.y - v, 2);
            };
            four += error(*few);
            nine += error(*all);
        }
    }
    EXPECT_LT(nine, 0.75 * four);
}

TEST(ChartMarks, TwoMarksAnAxisAreTheAffineMapOfBefore) {
    const std::vector<ChartMark> marks = {{.at = seen(0, 0, 0), .x = 2},
                                          {.at = seen(1, 0, 0), .x = 10},
                                          {.at = seen(0, 0, 0), .y = 0.1},
                                          {.at = seen(0, 1, 0), .y = 100}};
    const auto marked = scale_of_marks(marks, y_log);
    ASSERT_TRUE(marked);
    EXPECT_TRUE(marked->scale.is_affine());
    const auto made = ChartScale::make(
        {.first = {.at = marks[0].at, .value = 2}, .second = {.at = marks[1].at, .value = 10}},
        {.first = {.at = marks[2].at, .value = 0.1},
         .second = {.at = marks[3].at, .value = 100},
         .logarithmic = true});
    ASSERT_TRUE(made);
    for (const PixelPoint at : {PixelPoint{300, 300}, {700, 650}, {150, 200}}) {
        EXPECT_NEAR(marked->scale.to_value(at).x, made->to_value(at).x, 1e-9);
        EXPECT_NEAR(marked->scale.to_value(at).y, made->to_value(at).y, 1e-9);
    }
}

// A third mark on an axis shows that the picture was taken at an angle, or a value is wrong.
TEST(ChartMarks, MarksOnOneLineTellWhetherTheyFit) {
    const auto with_third = [](double strength, double value) {
        return scale_of_marks({{.at = seen(0, 0, strength), .x = 2},
                               {.at = seen(1, 0, strength), .x = 10},
                               {.at = seen(0.5, 0, strength), .x = value},
                               {.at = seen(0, 0, strength), .y = 0.1},
                               {.at = seen(0, 1, strength), .y = 100}},
                              y_log);
    };
    ASSERT_TRUE(with_third(0, 6));
    EXPECT_LT(with_third(0, 6)->worst_off(), 1e-6);
    ASSERT_TRUE(with_third(0.1, 6));
    EXPECT_GT(with_third(0.1, 6)->worst_off(), 2);
    const auto wrong = with_third(0, 8);
    ASSERT_FALSE(wrong);
    EXPECT_EQ(wrong.error().front().cause, Cause::contradiction);
}

Cause cause_of(const std::vector<ChartMark>& marks, LogAxes log = y_log) {
    const auto marked = scale_of_marks(marks, log);
    if (marked) {
        ADD_FAILURE() << "was accepted";
        return Cause::untraceable;
    }
    EXPECT_FALSE(marked.error().front().remedy.empty());
    return marked.error().front().cause;
}

TEST(ChartMarks, RefusesWhatMakesNoScale) {
    auto marks = corners(0.3);
    marks.push_back(corner(0.5, 0.5, 0.3));
    marks.back().at.x += 60;
    EXPECT_EQ(cause_of(marks), Cause::contradiction);
    EXPECT_EQ(cause_of({corner(0, 0, 0)}), Cause::missing_key);
    EXPECT_EQ(cause_of({corner(0, 0, 0), corner(1, 1, 0)}), Cause::contradiction);
    marks = corners(0);
    for (ChartMark& mark : marks) mark.x = 3;
    EXPECT_EQ(cause_of(marks), Cause::contradiction);
    marks = corners(0);
    marks[0].y = -1;
    EXPECT_EQ(cause_of(marks), Cause::out_of_range);
    marks = corners(0);
    marks[0].at.x = std::nan("");
    EXPECT_EQ(cause_of(marks), Cause::out_of_range);
    marks = corners(0);
    for (ChartMark& mark : marks) mark.at = {.x = 200 + mark.at.x / 1e3, .y = 300};
    EXPECT_EQ(cause_of(marks), Cause::contradiction);
}

// The spread of readings that the moved marks tell is that of marks that really are so far off.
TEST(ChartMarks, MovedMarksTellHowFarReadingsAreOff) {
    std::mt19937 random(6);
    const auto marks = corners(0.4);
    const PixelPoint place = seen(0.7, 0.4, 0.4);
    double stated = 0, found = 0;
    for (const ChartScale& scale : scales_with_moved_marks(marks, y_log, 0.7)) {
        stated += std::pow(scale.to_fraction(place).x - 0.7, 2);
    }
    constexpr int rounds = 3000;
    for (int round = 0; round < rounds; ++round) {
        auto off = marks;
        for (ChartMark& mark : off) {  // uniform, deviation 0.7 px
            mark.at.x += uniform(random, -1.2124, 1.2124);
            mark.at.y += uniform(random, -1.2124, 1.2124);
        }
        found += std::pow(scale_of_marks(off, y_log)->scale.to_fraction(place).x - 0.7, 2) / rounds;
    }
    EXPECT_NEAR(std::sqrt(found), std::sqrt(stated), 0.05 * std::sqrt(stated));
}

}  // namespace
}  // namespace gapwright::testing
