// Traced points against the functions that the charts were drawn from.
#include "chart/trace_curve.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <cstdio>
#include <future>

#include "support/how_many.hpp"
#include "synthetic_chart.hpp"

namespace gapwright::testing {
namespace {

const std::vector<unsigned> numbers =  // of charts of each style
    testing_support::how_many<std::vector<unsigned>>({1, 6, 7}, {0, 1, 2, 3, 4, 5, 6, 7});
const std::vector<unsigned> random_numbers =
    testing_support::how_many<std::vector<unsigned>>({3}, {1, 2, 3, 7});
const std::size_t random_seeds = testing_support::how_many(4U, 10U);  // on each

struct Opened {
    SyntheticChart chart;
    Raster raster;
    ChartScale scale;
};

Opened opened(ChartStyle style, unsigned number) {
    SyntheticChart chart = draw_chart(style, number);
    Raster raster = *decode_raster(chart.bytes, "chart");
    const ChartScale scale = *ChartScale::make(chart.x, chart.y);
    return {std::move(chart), std::move(raster), scale};
}

// Distances of a trace's points from a curve, in percent of full scale, smallest first.
std::vector<double> errors_of(const TracedCurve& traced, const DrawnCurve& drawn,
                              const ChartScale& scale) {
    std::vector<double> errors;
    for (const TracedPoint& point : traced.points) {
        errors.push_back(100 * distance_to(drawn, scale.to_fraction(point.pixel)));
    }
    std::ranges::sort(errors);
    return errors;
}

double part(const std::vector<double>& sorted, double share) {
    return sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
}

// Points whose distance to the truth, at the axis where it is surer, is within 3 stated errors.
std::size_t within_three_errors(const TracedCurve& traced, const DrawnCurve& drawn,
                                const SyntheticChart& chart, const ChartScale& scale) {
    const double width = std::hypot(chart.along_x.x, chart.along_x.y);
    const double height = std::hypot(chart.along_y.x, chart.along_y.y);
    std::size_t within = 0;
    for (const TracedPoint& p : traced.points) {
        const double off = distance_to(drawn, scale.to_fraction(p.pixel)) * std::min(width, height);
        // The stated errors of y at a fixed x and of x at a fixed y, back into pixels across.
        const double dy = p.error / scale.y_slope(p.y) * height;
        const double dx = p.x_error / scale.x_slope(p.x) * width;
        within += off <= 3 * dx * dy / std::hypot(dx, dy) ? 1U : 0U;
    }
    return within;
}

// The part of a drawn curve's length in pixels that lies within 4 px of a traced point.
double share_of(const TracedCurve& traced, const DrawnCurve& drawn, const SyntheticChart& chart) {
    double length = 0, followed = 0;
    PixelPoint a = chart.to_pixel(drawn.truth.front());
    for (const ChartPoint& truth : drawn.truth) {
        const PixelPoint b = chart.to_pixel(truth);
        const double step = std::hypot(b.x - a.x, b.y - a.y);
        if (step < 1) continue;
        length += step;
        const auto is_near = [&](const TracedPoint& p) {
            return std::hypot(p.pixel.x - b.x, p.pixel.y - b.y) < 4;
        };
        followed += std::ranges::any_of(traced.points, is_near) ? step : 0;
        a = b;
    }
    return followed / length;
}

struct Tally {
    std::vector<double> medians = {}, worst = {};  // percent of full scale, one for each curve
    std::vector<double> shares = {};               // of the true length, one for each curve
    int silently_short = 0;  // with less than 97 % traced and no end that says it may go on
    int failed = 0, curves = 0;
    std::size_t points = 0, honest = 0;
};

void add(Tally& tally, const Tally& other) {
    tally.medians.insert(tally.medians.end(), other.medians.begin(), other.medians.end());
    tally.worst.insert(tally.worst.end(), other.worst.begin(), other.worst.end());
    tally.shares.insert(tally.shares.end(), other.shares.begin(), other.shares.end());
    tally.silently_short += other.silently_short;
    tally.failed += other.failed;
    tally.curves += other.curves;
    tally.points += other.points;
    tally.honest += other.honest;
}

Tally trace_chart(ChartStyle style, unsigned number) {
    Tally tally;
    const Opened open = opened(style, number);
    std::mt19937 random(7 + number);
    for (std::size_t k = 0; k < open.chart.curves.size(); ++k) {
        const DrawnCurve& drawn = open.chart.curves[k];
        const std::size_t seeds = style == ChartStyle::dashed_and_crossing ? 2 : 1;
        ++tally.curves;
        const auto traced =
            trace_curve(open.raster, open.scale, {.seeds = seeds_on(open.chart, k, seeds, random)});
        if (!traced) {
            EXPECT_FALSE(to_text(traced.error()).empty());
            ++tally.failed;
            continue;
        }
        const auto errors = errors_of(*traced, drawn, open.scale);
        tally.medians.push_back(part(errors, 0.5));
        tally.worst.push_back(errors.back());
        tally.points += traced->points.size();
        tally.honest += within_three_errors(*traced, drawn, open.chart, open.scale);
        tally.shares.push_back(share_of(*traced, drawn, open.chart));
        const auto is_told = [](CurveEnd end) {
            return end == CurveEnd::fork || end == CurveEnd::frame;
        };
        const bool says_so = is_told(traced->first_end) || is_told(traced->last_end);
        tally.silently_short += tally.shares.back() < 0.97 && !says_so ? 1 : 0;
    }
    return tally;
}

// Two threads share the work.
template <typename Piece>
void in_two_threads(int count, const Piece& piece) {
    std::atomic<int> next = 0;
    const auto work = [&] {
        for (int k = next++; k < count; k = next++) piece(k);
    };
    auto other = std::async(std::launch::async, work);
    work();
    other.get();
}

Tally trace_style(ChartStyle style) {
    std::vector<Tally> parts(numbers.size());
    in_two_threads(static_cast<int>(numbers.size()), [&](int k) {
        const auto at = static_cast<std::size_t>(k);
        parts[at] = trace_chart(style, numbers[at]);
    });
    Tally tally;
    for (const Tally& one : parts) add(tally, one);
    std::ranges::sort(tally.medians);
    std::ranges::sort(tally.worst);
    std::ranges::sort(tally.shares);
    std::printf("curves %d, failed %d, median %.3f %%, worst point %.2f %%, within 3 errors %.3f\n",
                tally.curves, tally.failed, part(tally.medians, 0.5), tally.worst.back(),
                static_cast<double>(tally.honest) / static_cast<double>(tally.points));
    std::printf("of the curves' length median %.1f %%, least %.1f %%\n",
                100 * part(tally.shares, 0.5), 100 * tally.shares.front());
    return tally;
}

class Styles : public ::testing::TestWithParam<int> {};

// The worst single point of any curve counts, and the median of curves' medians.
TEST_P(Styles, AreTracedCloseToTheTruth) {
    const auto style = static_cast<ChartStyle>(GetParam());
    const Tally tally = trace_style(style);
    EXPECT_LT(part(tally.medians, 0.5), 0.5);
    EXPECT_LT(tally.worst.back(), 2.0);
    EXPECT_GE(static_cast<double>(tally.honest), 0.8 * static_cast<double>(tally.points));
    EXPECT_EQ(tally.failed, 0);
    EXPECT_GE(part(tally.shares, 0.5), 0.97);
    EXPECT_LE(std::ranges::count_if(tally.shares, [](double share) { return share < 0.8; }), 1);
    EXPECT_EQ(tally.silently_short, 0);
}
INSTANTIATE_TEST_SUITE_P(All, Styles, ::testing::Range(0, chart_styles));

Cause cause_at(const Opened& open, PixelPoint seed) {
    const auto traced = trace_curve(open.raster, open.scale, {.seeds = {seed}});
    if (traced) {
        ADD_FAILURE() << "traced " << traced->points.size() << " points";
        return Cause::contradiction;
    }
    return traced.error().front().cause;
}

TEST(TraceCurve, FindsNothingOnBlankPaper) {
    const Opened open = opened(ChartStyle::black_on_light_grid, 0);
    EXPECT_EQ(cause_at(open, open.chart.to_pixel({0.85, 0.13})), Cause::untraceable);
}

TEST(TraceCurve, TakesNoGridLineForACurve) {
    for (const ChartStyle style :
         {ChartStyle::black_on_light_grid, ChartStyle::black_on_dark_grid}) {
        const Opened open = opened(style, 2);  // diodes, x from 0.8 to 1.8 in steps of 0.2
        EXPECT_EQ(cause_at(open, open.chart.to_pixel({0.2, 0.7})), Cause::untraceable);
        EXPECT_EQ(cause_at(open, open.chart.to_pixel({0.1, 0.8})), Cause::untraceable);
    }
}

TEST(TraceCurve, RefusesSeedsOutsideOfThePlot) {
    const Opened open = opened(ChartStyle::black_on_light_grid, 0);
    EXPECT_EQ(cause_at(open, {.x = -5, .y = 10}), Cause::out_of_range);
    EXPECT_EQ(cause_at(open, open.chart.to_pixel({0.5, -0.1})), Cause::out_of_range);
}

// A blot over the middle of a curve: none of what is traced is wrong.
TEST(TraceCurve, GivesNoWrongDataUnderABlot) {
    int traced_ones = 0;
    for (unsigned number = 0; number < 8; ++number) {
        Opened open = opened(ChartStyle::black_on_light_grid, number);
        const DrawnCurve& curve = open.chart.curves[0];
        const PixelPoint middle = open.chart.to_pixel(curve.truth[curve.truth.size() / 2]);
        for (int y = 0; y < open.raster.height; ++y) {
            for (int x = 0; x < open.raster.width; ++x) {
                const double far = std::hypot(x - middle.x, y - middle.y);
                if (far > 55 + 15 * std::sin(5 * std::atan2(y - middle.y, x - middle.x))) continue;
                for (int k = 0; k < 3; ++k) {
                    open.raster.rgb[static_cast<std::size_t>(3 * (y * open.raster.width + x) + k)] =
                        20;
                }
            }
        }
        const PixelPoint seed = open.chart.to_pixel(curve.truth[curve.truth.size() / 5]);
        const auto traced = trace_curve(open.raster, open.scale, {.seeds = {seed}});
        if (!traced) continue;
        ++traced_ones;
        double nearest = 0;
        for (const TracedPoint& point : traced->points) {
            double here = 1e9;
            for (const DrawnCurve& any : open.chart.curves) {
                here = std::min(here, 100 * distance_to(any, open.scale.to_fraction(point.pixel)));
            }
            nearest = std::max(nearest, here);
        }
        EXPECT_LT(nearest, 2.0) << "chart " << number;
    }
    EXPECT_GT(traced_ones, 3);  // what is clear beside the blot is there
}

// Wherever somebody points: an error, or points that lie on drawn curves.
TEST(TraceCurve, GivesNoWrongDataFromRandomSeeds) {
    std::mt19937 random(99);
    std::vector<std::pair<ChartStyle, unsigned>> charts;
    std::vector<std::vector<ChartPoint>> places;
    for (int style = 0; style < chart_styles; ++style) {
        for (const unsigned number : random_numbers) {
            charts.emplace_back(static_cast<ChartStyle>(style), number);
            auto& here = places.emplace_back(random_seeds);
            for (ChartPoint& place : here) {
                place.x = static_cast<double>(random() % 1001) / 1000;
                place.y = static_cast<double>(random() % 1001) / 1000;
            }
        }
    }
    std::atomic<int> traced_ones = 0;
    in_two_threads(static_cast<int>(charts.size()), [&](int k) {
        const auto [style, number] = charts[static_cast<std::size_t>(k)];
        const Opened open = opened(style, number);
        for (const ChartPoint& place : places[static_cast<std::size_t>(k)]) {
            const auto traced =
                trace_curve(open.raster, open.scale, {.seeds = {open.chart.to_pixel(place)}});
            if (!traced) continue;
            ++traced_ones;
            double least = 1e9;
            for (const DrawnCurve& curve : open.chart.curves) {
                least = std::min(least, errors_of(*traced, curve, open.scale).back());
            }
            EXPECT_LT(least, 2.0) << "style " << static_cast<int>(style) << " chart " << number
                                  << " at " << place.x << ", " << place.y;
        }
    });
    std::printf("%d of %zu random seeds gave a curve\n", traced_ones.load(),
                charts.size() * random_seeds);
}

// A label in a sharp bend hides where the curve goes on: from one side it ends there and says so.
TEST(TraceCurve, GoesOnBehindALabelWithASeedThere) {
    const Opened open = opened(ChartStyle::colours_on_grid, 4);
    const DrawnCurve& drawn = open.chart.curves[0];
    const PixelPoint before = open.chart.to_pixel(drawn.truth[drawn.truth.size() * 4 / 10]);
    const PixelPoint behind = open.chart.to_pixel(drawn.truth[drawn.truth.size() * 9 / 10]);
    const auto both = trace_curve(open.raster, open.scale, {.seeds = {before, behind}});
    ASSERT_TRUE(both) << to_text(both.error());
    EXPECT_GT(share_of(*both, drawn, open.chart), 0.99);
    EXPECT_LT(errors_of(*both, drawn, open.scale).back(), 1.0);
}

// Two dashed curves cross behind a label: the other one's dashes are not taken for this one's.
TEST(TraceCurve, DoesNotChangeToAnotherDashedCurveBehindALabel) {
    const Opened open = opened(ChartStyle::dashed_and_crossing, 115);
    const DrawnCurve& drawn = open.chart.curves[1];
    const PixelPoint first = {.x = 225, .y = 174}, second = {.x = 553, .y = 375};
    for (const std::vector<PixelPoint>& seeds : {std::vector{second}, std::vector{first, second}}) {
        const auto traced = trace_curve(open.raster, open.scale, {.seeds = seeds});
        ASSERT_TRUE(traced) << to_text(traced.error());
        EXPECT_LT(errors_of(*traced, drawn, open.scale).back(), 1.0);
        EXPECT_EQ(traced->last_end, CurveEnd::fork);
    }
}

// The strokes beside the line tell which curve it is.
TEST(TraceCurve, TakesSeedsWhereTheCurveCrossesAGridLineOfItsTone) {
    const Opened open = opened(ChartStyle::black_on_dark_grid, 6);
    int traced_ones = 0, seeds = 0;
    for (const DrawnCurve& drawn : open.chart.curves) {
        for (std::size_t k = 1; k + 1 < drawn.truth.size(); ++k) {
            const double before = drawn.truth[k - 1].x * 5, here = drawn.truth[k].x * 5;
            if (std::floor(before) == std::floor(here)) continue;  // lines lie at fifths
            ++seeds;
            const auto traced = trace_curve(open.raster, open.scale,
                                            {.seeds = {open.chart.to_pixel(drawn.truth[k])}});
            if (!traced) continue;
            ++traced_ones;
            EXPECT_LT(errors_of(*traced, drawn, open.scale).back(), 2.0);
        }
    }
    std::printf("%d of %d seeds on grid lines gave their curve\n", traced_ones, seeds);
    EXPECT_GE(2 * traced_ones, seeds);
}

// Two seeds on different curves that do not touch are never joined.
TEST(TraceCurve, JoinsNoTwoCurves) {
    for (const ChartStyle style : {ChartStyle::black_on_light_grid, ChartStyle::dense_decades}) {
        for (const unsigned number : {3U, 5U}) {
            const Opened open = opened(style, number);
            if (open.chart.curves.size() < 2) continue;
            for (const double at : {0.3, 0.7}) {
                std::vector<PixelPoint> seeds;
                for (std::size_t k = 0; k < 2; ++k) {
                    const auto& truth = open.chart.curves[k].truth;
                    const double part = k == 0 ? 0.5 : at;
                    seeds.push_back(open.chart.to_pixel(truth[static_cast<std::size_t>(
                        part * static_cast<double>(truth.size() - 1))]));
                }
                EXPECT_FALSE(trace_curve(open.raster, open.scale, {.seeds = seeds}))
                    << static_cast<int>(style) << '_' << number;
            }
        }
    }
}

// The limits that a request may set: nothing outside of them, whichever corners are given.
TEST(TraceCurve, KeepsWithinTheCornersOfARequest) {
    const Opened open = opened(ChartStyle::black_on_light_grid, 1);  // flat curves across
    const auto at = [&](double x, double y) { return open.chart.to_pixel({.x = x, .y = y}); };
    const DrawnCurve& drawn = open.chart.curves[0];
    const auto middle = std::ranges::find_if(drawn.truth, [](ChartPoint f) { return f.x > 0.45; });
    const PixelPoint seed = open.chart.to_pixel(*middle);
    for (const auto& [corner, opposite] :
         {std::pair{at(0.3, 0), at(0.6, 1)}, {at(0.6, 1), at(0.3, 0)}, {at(0.3, 1), at(0.6, 0)}}) {
        const auto traced = trace_curve(open.raster, open.scale,
                                        {.seeds = {seed}, .corner = corner, .opposite = opposite});
        ASSERT_TRUE(traced) << to_text(traced.error());
        for (const TracedPoint& point : traced->points) {
            const double x = open.scale.to_fraction(point.pixel).x;
            EXPECT_GT(x, 0.295);
            EXPECT_LT(x, 0.605);
        }
        EXPECT_LT(open.scale.to_fraction(traced->points.front().pixel).x, 0.32);
        EXPECT_GT(open.scale.to_fraction(traced->points.back().pixel).x, 0.58);
        EXPECT_EQ(traced->first_end, CurveEnd::border);
        EXPECT_EQ(traced->last_end, CurveEnd::border);
        EXPECT_LT(errors_of(*traced, drawn, open.scale).back(), 1.0);
    }
    const auto beside = trace_curve(
        open.raster, open.scale, {.seeds = {seed}, .corner = at(0.5, 0), .opposite = at(0.9, 1)});
    ASSERT_FALSE(beside);
    EXPECT_EQ(beside.error().front().cause, Cause::out_of_range);
}

// Marks may lie anywhere on the axes; corners then say how far the plot goes.
TEST(TraceCurve, GoesBeyondMarksToTheCorners) {
    const Opened open = opened(ChartStyle::black_on_light_grid, 1);
    const auto at = [&](double x, double y) { return open.chart.to_pixel({.x = x, .y = y}); };
    const auto inner = ChartScale::make(
        {.first = {.at = at(0.4, 0), .value = 0.4}, .second = {.at = at(0.6, 0), .value = 0.6}},
        {.first = {.at = at(0, 0), .value = 0}, .second = {.at = at(0, 1), .value = 1}});
    ASSERT_TRUE(inner);
    const DrawnCurve& drawn = open.chart.curves[0];
    const auto middle = std::ranges::find_if(drawn.truth, [](ChartPoint f) { return f.x > 0.45; });
    const PixelPoint seed = open.chart.to_pixel(*middle);
    const auto marks_only = trace_curve(open.raster, *inner, {.seeds = {seed}});
    ASSERT_TRUE(marks_only) << to_text(marks_only.error());
    EXPECT_LT(share_of(*marks_only, drawn, open.chart), 0.5);
    const auto whole = trace_curve(open.raster, *inner,
                                   {.seeds = {seed}, .corner = at(0, 0), .opposite = at(1, 1)});
    ASSERT_TRUE(whole) << to_text(whole.error());
    EXPECT_GT(share_of(*whole, drawn, open.chart), 0.97);
    EXPECT_LT(errors_of(*whole, drawn, open.scale).back(), 1.0);
}

TEST(TraceCurve, ThinsToPointsEvenlyAlongTheCurve) {
    const Opened open = opened(ChartStyle::black_on_light_grid, 2);
    std::mt19937 random(3);
    const auto traced =
        trace_curve(open.raster, open.scale, {.seeds = seeds_on(open.chart, 0, 1, random)});
    ASSERT_TRUE(traced);
    const auto points = to_points(*traced, 12);
    ASSERT_EQ(points.size(), 12U);
    EXPECT_EQ(points.front().x, traced->points.front().x);
    EXPECT_EQ(points.back().x, traced->points.back().x);
    for (std::size_t k = 0; k + 1 < points.size(); ++k) {
        const double step = std::hypot(points[k + 1].pixel.x - points[k].pixel.x,
                                       points[k + 1].pixel.y - points[k].pixel.y);
        EXPECT_NEAR(step, traced->length / 11, 4);
        EXPECT_GT(points[k].error, 0);
    }
}

}  // namespace
}  // namespace gapwright::testing
