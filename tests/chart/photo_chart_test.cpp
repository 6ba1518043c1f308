// Charts as people have them: photographed at an angle, families of curves, legends.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <optional>
#include <random>
#include <stop_token>
#include <string>
#include <vector>

#include "chart/chart_marks.hpp"
#include "chart/mark_snap.hpp"
#include "chart/ready_chart.hpp"
#include "chart/shared_errors.hpp"
#include "chart/trace_curve.hpp"
#include "support/how_many.hpp"
#include "synthetic_chart.hpp"
#include "synthetic_curves.hpp"
#include "synthetic_photo.hpp"

namespace gapwright::testing {
namespace {

const unsigned photos = testing_support::how_many(2U, 12U);    // of each style
const unsigned families = testing_support::how_many(3U, 12U);  // of each kind

double value_at(const AxisScale& axis, double fraction) {
    const double a = axis.first.value, b = axis.second.value;
    return axis.logarithmic ? a * std::pow(b / a, fraction) : a + (b - a) * fraction;
}

double fraction_at(const AxisScale& axis, double value) {
    const double a = axis.first.value, b = axis.second.value;
    return axis.logarithmic ? std::log(value / a) / std::log(b / a) : (value - a) / (b - a);
}

// A chart in a picture, where a person puts marks up to a pixel off.
struct Scene {
    const SyntheticChart& chart;
    Raster raster;
    std::function<PixelPoint(PixelPoint)> to_picture;
};

struct Marked {
    std::vector<ChartMark> marks;
    ReadyChart ready;
};

Marked marked_by_hand(const Scene& scene, bool corners, std::mt19937& random) {
    std::vector<ChartMark> marks;
    const auto put = [&](double u, double v, bool of_x, bool of_y) {
        const PixelPoint at = scene.to_picture(scene.chart.to_pixel({.x = u, .y = v}));
        ChartMark mark{.at = {.x = std::round(at.x + uniform(random, -1, 1)),
                              .y = std::round(at.y + uniform(random, -1, 1))}};
        if (of_x) mark.x = value_at(scene.chart.x, u);
        if (of_y) mark.y = value_at(scene.chart.y, v);
        marks.push_back(mark);
    };
    put(0, 0, true, corners);
    put(1, 0, true, corners);
    put(0, 1, corners, true);
    if (corners) {
        put(1, 1, true, true);
    } else {
        put(0, 0, false, true);
    }
    const LogAxes log{.x = scene.chart.x.logarithmic, .y = scene.chart.y.logarithmic};
    auto scale = scale_of_marks(marks, log)->scale;
    const auto snapped = snapped_marks(scene.raster, scale, marks);
    for (std::size_t k = 0; k < marks.size(); ++k) marks[k] = snapped[k].mark;
    scale = scale_of_marks(marks, log)->scale;
    return {.marks = marks,
            .ready = *ready_chart(scene.raster, scale, {.anchor = anchor_of(scale, marks)})};
}

struct Tally {
    int curves = 0, refused = 0, wrong = 0;  // wrong: a point 2 % of full scale off and more
    int silent = 0;                          // of these, with no word and no error that tells it
    std::vector<double> worst = {};          // of each curve, of full scale
};

void read_all(const Scene& scene, bool corners, unsigned seed, Tally& tally) {
    std::mt19937 random(seed);
    const Marked marked = marked_by_hand(scene, corners, random);
    const auto off = marked.ready.worst_off();
    const bool warned = !off || *off > 0.005;
    for (std::size_t k = 0; k < scene.chart.curves.size(); ++k) {
        std::vector<PixelPoint> seeds;
        for (const PixelPoint& at : seeds_on(scene.chart, k, 1, random)) {
            seeds.push_back(scene.to_picture(at));
        }
        if (seeds.empty()) continue;
        ++tally.curves;
        auto traced = trace_curve(marked.ready, seeds);
        if (!traced) {
            EXPECT_FALSE(traced.error().front().remedy.empty());
            EXPECT_NE(traced.error().front().message.find("pixel"), std::string::npos);
            ++tally.refused;
            continue;
        }
        add_shared_errors(*traced, marked.ready, marked.marks, usual_mark_error);
        double worst = 0, stated = 0;
        for (const TracedPoint& point : traced->points) {
            const ChartPoint at = {.x = fraction_at(scene.chart.x, point.x),
                                   .y = fraction_at(scene.chart.y, point.y)};
            const double far = distance_to(scene.chart.curves[k], at);
            if (far <= worst) continue;
            worst = far;
            stated = point.shared_share;
        }
        tally.worst.push_back(worst);
        if (worst <= 0.02) continue;
        ++tally.wrong;
        if (warned || stated > 0.007) continue;
        ++tally.silent;
        ADD_FAILURE() << "silently wrong by " << worst << ", seed " << seed << " curve " << k;
    }
}

void tell(const char* what, Tally& tally) {
    std::ranges::sort(tally.worst);
    const auto part = [&](double share) {
        const auto last = static_cast<double>(tally.worst.size() - 1);
        return 100 * tally.worst[static_cast<std::size_t>(share * last)];
    };
    std::printf(
        "%s: %d curves, %d refused, %d wrong by 2 %% and more, %d silently; worst point: "
        "median %.2f %%, of nine in ten %.2f %%, of all %.2f %%\n",
        what, tally.curves, tally.refused, tally.wrong, tally.silent, part(0.5), part(0.9),
        part(1));
}

Tally photographed_charts(bool corners) {
    Tally tally;
    for (int style = 0; style < chart_styles; ++style) {
        for (unsigned number = 0; number < photos; ++number) {
            const auto chart = draw_chart(static_cast<ChartStyle>(style), number);
            const unsigned which = number + 20 * static_cast<unsigned>(style);
            const auto photo = photographed(chart, some_look(which), which);
            read_all({.chart = chart,
                      .raster = *decode_raster(photo.bytes, "photo"),
                      .to_picture = [&](PixelPoint at) { return photo.at(at); }},
                     corners, which, tally);
        }
    }
    return tally;
}

TEST(ChartPhotos, AreReadRightWithFourCorners) {
    Tally tally = photographed_charts(true);
    tell("photos, four corners", tally);
    EXPECT_EQ(tally.wrong, 0);
    EXPECT_LE(tally.refused, 1 + tally.curves / 25);
    EXPECT_LT(tally.worst[tally.worst.size() / 2], 0.002);
}

TEST(ChartPhotos, AreNeverSilentlyWrongWithTwoMarksAnAxis) {
    Tally tally = photographed_charts(false);
    tell("photos, two marks an axis", tally);
    EXPECT_EQ(tally.silent, 0);
    EXPECT_GT(tally.wrong, 0);  // else this test tells nothing
}

// What the grid tells of a photo is what two marks an axis really read wrong.
TEST(ChartPhotos, TellHowFarTheyAreOff) {
    const auto chart = draw_chart(ChartStyle::black_on_light_grid, 3);
    for (const double lean : {4.0, 8.0, 14.0}) {
        const PhotoLook look{.lean_x = lean, .lean_y = -0.7 * lean, .scale = 1.4, .noise = 3};
        const auto photo = photographed(chart, look, 3);
        const Scene scene{.chart = chart,
                          .raster = *decode_raster(photo.bytes, "photo"),
                          .to_picture = [&](PixelPoint at) { return photo.at(at); }};
        std::mt19937 random(4);
        const Marked marked = marked_by_hand(scene, false, random);
        double worst = 0;
        for (const double u : {0.0, 0.5, 1.0}) {
            for (const double v : {0.0, 0.5, 1.0}) {
                const PixelPoint at = photo.at(chart.to_pixel({.x = u, .y = v}));
                const ChartPoint read = marked.ready.scale.to_fraction(at);
                worst = std::max({worst, std::abs(read.x - u), std::abs(read.y - v)});
            }
        }
        ASSERT_TRUE(marked.ready.worst_off());
        EXPECT_NEAR(*marked.ready.worst_off(), worst, 0.25 * worst + 0.004) << lean;
    }
}

TEST(ChartPhotos, TellOfABentPage) {
    const auto chart = draw_chart(ChartStyle::black_on_light_grid, 3);
    const auto photo = photographed(chart, {.scale = 1.5, .noise = 3, .bend = 9}, 3);
    const Scene scene{.chart = chart,
                      .raster = *decode_raster(photo.bytes, "photo"),
                      .to_picture = [&](PixelPoint at) { return photo.at(at); }};
    std::mt19937 random(4);
    const Marked marked = marked_by_hand(scene, true, random);
    ASSERT_TRUE(marked.ready.worst_off());
    EXPECT_GT(*marked.ready.worst_off(), 0.008);
}

// Families as programs draw them: one colour, several, and hues close together; with and without
// legends, over the curves too.
class Families : public ::testing::TestWithParam<FamilyColours> {};
TEST_P(Families, AreReadCurveByCurve) {
    Tally tally;
    int samples = 0, followed = 0, known = 0;
    for (unsigned number = 0; number < families; ++number) {
        for (int kind = 0; kind < 4; ++kind) {
            const FamilyLook look{.colours = GetParam(),
                                  .curves = 3 + static_cast<int>(number % 4),
                                  .grid = number % 3 != 2,
                                  .frame = number % 5 != 4,
                                  .dashed = kind == 3,
                                  .legend = kind > 0,
                                  .legend_over = kind == 2,
                                  .width = 1.2 + 0.4 * (number % 4)};
            const FamilyChart made = draw_family(look, number);
            const Scene scene{.chart = made.chart,
                              .raster = *decode_raster(made.chart.bytes, "family"),
                              .to_picture = [](PixelPoint at) { return at; }};
            read_all(scene, false, number, tally);
            const auto ready =
                ready_chart(scene.raster, *ChartScale::make(made.chart.x, made.chart.y), {});
            for (const PixelPoint& sample : made.samples) {
                ++samples;
                const auto traced = trace_curve(*ready, {sample});
                followed += traced ? 1 : 0;
                known +=
                    !traced && traced.error().front().message.find("legend") != std::string::npos
                        ? 1
                        : 0;
            }
        }
    }
    tell("families", tally);
    std::printf("%d samples of legends: %d followed, %d told to be one\n", samples, followed,
                known);
    EXPECT_EQ(tally.wrong, 0);
    EXPECT_LE(tally.refused, tally.curves / 15);  // seeds that lie under a legend
    EXPECT_EQ(followed, 0);
    EXPECT_GE(known, samples * 85 / 100);
}
INSTANTIATE_TEST_SUITE_P(Colours, Families,
                         ::testing::Values(FamilyColours::one, FamilyColours::different,
                                           FamilyColours::near));

// A photograph of 12 megapixels, noisy: within two seconds of processor time for one curve.
TEST(ChartPhotos, TakeTwoSecondsAtMost) {
    const auto chart = draw_chart(ChartStyle::black_on_light_grid, 3);
    const PhotoLook look{.turn = 1, .lean_x = 6, .lean_y = 5, .scale = 5.6, .noise = 40};
    const auto photo = photographed(chart, look, 3);
    ASSERT_GT(photo.width * photo.height, 11'000'000);
    const std::clock_t begin = std::clock();
    const Scene scene{.chart = chart,
                      .raster = *decode_raster(photo.bytes, "photo"),
                      .to_picture = [&](PixelPoint at) { return photo.at(at); }};
    std::mt19937 random(4);
    const Marked marked = marked_by_hand(scene, true, random);
    const auto seeds = seeds_on(chart, 0, 1, random);
    const auto traced = trace_curve(marked.ready, {photo.at(seeds.front())});
    const double seconds = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
    std::printf("%d × %d pixels: %.2f s%s\n", photo.width, photo.height, seconds,
                traced ? "" : ", refused");
#if defined(NDEBUG) && !defined(__SANITIZE_ADDRESS__)
    EXPECT_LT(seconds, 2.0);
#endif
}

TEST(ChartPhotos, StopWhereAskedTo) {
    const auto chart = draw_chart(ChartStyle::black_on_light_grid, 3);
    const auto ready =
        ready_chart(*decode_raster(chart.bytes, "chart"), *ChartScale::make(chart.x, chart.y), {});
    std::stop_source stop;
    stop.request_stop();
    std::mt19937 random(4);
    const auto traced = trace_curve(*ready, seeds_on(chart, 0, 1, random), stop.get_token());
    EXPECT_FALSE(traced);
}

// Marks a few pixels beside a tick or line move onto it; where none is near they stay.
TEST(MarkSnap, MovesOntoLinesThatAreNear) {
    const FamilyChart made = draw_family({}, 1);
    const Raster raster = *decode_raster(made.chart.bytes, "family");
    const auto scale = *ChartScale::make(made.chart.x, made.chart.y);
    for (const double off : {-2.5, -1.0, 0.0, 1.0, 2.5}) {
        const PixelPoint right = made.chart.to_pixel({.x = 1, .y = 0});
        const PixelPoint top = made.chart.to_pixel({.x = 0, .y = 1});
        const auto snapped =
            snapped_marks(raster, scale,
                          {{.at = {.x = right.x + off, .y = right.y}, .x = 10},
                           {.at = {.x = top.x, .y = top.y + off}, .y = 35},
                           {.at = {.x = right.x + off, .y = top.y - off}, .x = 10, .y = 35}});
        for (const SnappedMark& mark : snapped) EXPECT_TRUE(mark.on_line);
        EXPECT_NEAR(snapped[0].mark.at.x, right.x, 0.15);
        EXPECT_NEAR(snapped[0].moved, std::abs(off), 0.15);
        EXPECT_NEAR(snapped[1].mark.at.y, top.y, 0.15);
        EXPECT_NEAR(snapped[2].mark.at.x, right.x, 0.15);
        EXPECT_NEAR(snapped[2].mark.at.y, top.y, 0.15);
    }
    const PixelPoint nowhere = made.chart.to_pixel({.x = 0.5, .y = 0.93});
    const auto bare = snapped_marks(raster, scale, {{.at = nowhere, .x = 5}});
    EXPECT_FALSE(bare[0].on_line);
    EXPECT_EQ(bare[0].moved, 0);
    EXPECT_EQ(bare[0].mark.at.x, nowhere.x);
}

TEST(GridSurvey, TellsLinearFromLogarithmicLines) {
    for (const unsigned number : {0U, 1U, 2U, 3U}) {
        for (const ChartStyle style :
             {ChartStyle::black_on_light_grid, ChartStyle::dense_decades}) {
            const auto chart = draw_chart(style, number);
            const auto ready = ready_chart(*decode_raster(chart.bytes, "chart"),
                                           *ChartScale::make(chart.x, chart.y), {});
            const auto of = [](bool logarithmic) {
                return logarithmic ? LineSpacing::even : LineSpacing::uneven;
            };
            EXPECT_NE(spacing_of(ready->survey.upright), of(chart.x.logarithmic));
            EXPECT_NE(spacing_of(ready->survey.level), of(chart.y.logarithmic));
            EXPECT_LT(*ready->worst_off(), 0.003);
        }
    }
}

}  // namespace
}  // namespace gapwright::testing
