// Waveforms: well-formed, no text over another, dimension lines that end where they should,
// whatever the data are.
#include "draw/waveform_plot.hpp"

#include <gtest/gtest.h>

#include <random>

#include "draw/dimension_rows.hpp"
#include "draw/plot_checks.hpp"
#include "draw/traces.hpp"

namespace gapwright {
namespace {

WaveformPlot switching() {
    return {
        .title = "w",
        .description = "d",
        .from = 0,
        .to = 100e-6,
        .panels = {{.y = {.low = 0, .high = 5.5, .label = "input side"},
                    .curves = {{"", "curve", {{0, 0}, {20e-6, 0}, {20e-6, 5}, {100e-6, 5}}}},
                    .levels = {}},
                   {.y = {.low = 0, .high = 1.1, .dimension = Dimension::ratio, .label = "light"},
                    .curves = {{"", "curve", edge(20e-6, 1e-6)}},
                    .levels = {},
                    .light = true},
                   {.y = {.low = 0, .high = 5.5, .label = "output side"},
                    .curves = {{"nominal", "curve amber", edge(30e-6, 5e-6)},
                               {"strongest", "curve strong", edge(35e-6, 9e-6)}},
                    .levels = {{3.5, "high from 3.5 V"}, {1.5, "low up to 1.5 V"}}}},
        .dimensions =
            {{.panel = 2, .from = 20e-6, .to = 60e-6, .at_level = 3.5, .label = "turn-off 40 µs"}},
        .marks = {20e-6}};
}

TEST(Waveforms, AreClearAndNameWhatTheyShow) {
    const Picture picture = draw_waveforms(switching());
    expect_clear(picture);
    const std::string svg = picture.svg(false);
    for (const char* part : {"input side", "output side", "turn-off 40 µs", "high from 3.5 V",
                             "nominal", "strongest", ">20 µs<"}) {
        EXPECT_NE(svg.find(part), std::string::npos) << part;
    }
    EXPECT_LT(picture.extent().right - picture.extent().left, 720);
}

TEST(Waveforms, AmberIsForLightAlone) {
    auto plot = switching();
    EXPECT_NE(draw_waveforms(plot).svg(false).find("curve amber"), std::string::npos);
    plot.panels[1].light = false;
    EXPECT_EQ(draw_waveforms(plot).svg(false).find("amber"), std::string::npos);
}

TEST(Waveforms, ArrowsPointAtTheEndsOfTheirSpan) {
    auto plot = switching();
    for (auto& panel : plot.panels) panel.levels.clear();  // then the paper is from 60 to 660
    for (const auto& [from, to] : {std::pair{20e-6, 60e-6},
                                   {60e-6, 20e-6},
                                   {40e-6, 40e-6},
                                   {50e-6, 51e-6},
                                   {80e-6, 300e-6}}) {
        plot.dimensions[0].from = from;
        plot.dimensions[0].to = to;
        const auto tips = arrow_tips(draw_waveforms(plot));
        ASSERT_EQ(tips.size(), 2U);
        const auto x_of = [](double t) { return 60 + 600 * std::min(t, 100e-6) / 100e-6; };
        EXPECT_NEAR(tips[0], x_of(std::min(from, to)), 1);
        EXPECT_NEAR(tips[1], x_of(std::max(from, to)), 1);
    }
}

TEST(Waveforms, WhatCannotBeShownIsLeftOut) {
    auto plot = switching();
    plot.dimensions = {{.panel = 7, .from = 0, .to = 1e-6, .at_level = 0, .label = "no panel"},
                       {.panel = 2, .from = 1, .to = 2, .at_level = 0, .label = "too late"},
                       {.panel = 2, .from = not_a_number, .to = 0, .at_level = 0, .label = "none"}};
    plot.panels[2].levels.push_back({9, "beyond"});
    plot.marks = {not_a_number, 5};
    const Picture picture = draw_waveforms(plot);
    expect_clear(picture);
    EXPECT_TRUE(arrow_tips(picture).empty());
    EXPECT_EQ(picture.svg(false).find("beyond"), std::string::npos);
}

TEST(Waveforms, DegenerateDataDoNotBreakThem) {
    expect_clear(draw_waveforms(
        {.title = "", .description = "", .panels = {}, .dimensions = {}, .marks = {}}));
    for (const auto& points : std::vector<std::vector<Point>>{{},
                                                              {{5e-6, 1}},
                                                              {{0, 2}, {1e-4, 2}},
                                                              {{-1, 2}, {1, 3}},
                                                              {{0, not_a_number}, {1e-5, 1}},
                                                              {{1, 1}, {2, 2}}}) {
        for (const double to : {0.0, 1e-4, -1e-4, not_a_number}) {
            for (const double high : {2.0, 0.0, not_a_number}) {
                auto plot = switching();
                plot.to = to;
                plot.panels[2].curves = {{"a", "curve", points}, {"b", "", points}};
                plot.panels[2].y.low = plot.panels[2].y.high = high;
                expect_clear(draw_waveforms(plot));
            }
        }
    }
}

TEST(Waveforms, AnyDimensionsAndLevelsLeaveTextsClear) {
    std::mt19937 random(11);
    std::uniform_real_distribution<double> time(0, 100e-6);
    std::uniform_real_distribution<double> volts(0, 5.5);
    for (int k = 0; k < 120; ++k) {
        auto plot = switching();
        plot.dimensions.clear();
        plot.panels[2].levels.clear();
        for (int n = 0; n < k % 9; ++n) {
            plot.dimensions.push_back({.panel = 2,
                                       .from = time(random),
                                       .to = time(random),
                                       .at_level = volts(random),
                                       .label = "a measure of 12.3 µs"});
            plot.panels[2].levels.push_back({volts(random), "a level"});
            plot.marks.push_back(time(random));
        }
        expect_clear(draw_waveforms(plot));
    }
}

TEST(DimensionRows, ALoneSpanHasItsTextOverItsMiddle) {
    const auto places = dimension_rows({{100, 300, "12 µs"}}, 0, 500);
    ASSERT_EQ(places.size(), 1U);
    EXPECT_EQ(places[0].row, 0U);
    EXPECT_NEAR((places[0].text_left + places[0].text_right) / 2, 200, 1e-9);
}

TEST(DimensionRows, ChainsShareARowAndNestsDoNot) {
    const auto chain = dimension_rows({{100, 200, "a"}, {200, 300, "b"}}, 0, 500);
    EXPECT_EQ(chain[0].row, chain[1].row);
    const auto nest = dimension_rows({{100, 400, "long"}, {150, 300, "short"}}, 0, 500);
    EXPECT_EQ(nest[0].row, 1U);
    EXPECT_EQ(nest[1].row, 0U);
}

TEST(Traces, CutEndsOnTheLimits) {
    const auto part = cut({{0, 0}, {10, 10}}, 2, 4);
    ASSERT_EQ(part.size(), 2U);
    EXPECT_NEAR(part[0].x, 2, 1e-12);
    EXPECT_NEAR(part[0].y, 2, 1e-12);
    EXPECT_NEAR(part[1].y, 4, 1e-12);
    EXPECT_TRUE(cut({{0, 0}, {1, 1}}, 2, 4).empty());
    EXPECT_NEAR(value_at({{0, 0}, {1, 0}, {1, 5}, {2, 5}}, 1.5).value(), 5, 1e-12);
    EXPECT_FALSE(value_at({{0, 0}, {1, 0}}, 1.5));
}

TEST(Traces, ThinningKeepsThemWithinATenthOfAPixel) {
    const Axes axes({.low = 0, .high = 100e-6, .label = ""}, {.low = 0, .high = 5, .label = ""},
                    {0, 0, 500, 200});
    const auto whole = edge(30e-6, 5e-6);
    const auto few = thinned(whole, axes);
    EXPECT_LT(few.size(), whole.size() / 4);
    std::vector<Point> run;
    for (const auto& p : few) run.push_back({p.x * 5e6, p.y * 40});
    for (const auto& p : whole) {
        const Point here{p.x * 5e6, p.y * 40};
        const Point near = nearest_on(run, here);
        EXPECT_LT(std::hypot(near.x - here.x, near.y - here.y), 0.101);
    }
}

TEST(Axes, TicksFarFromZeroReadDifferently) {
    Picture picture("t", "d");
    Axes({.low = 1e-3, .high = 1.00001e-3, .dimension = Dimension::time, .label = "time"},
         {.low = 0, .high = 1, .label = ""}, {60, 20, 440, 200})
        .draw(picture);
    EXPECT_NE(picture.svg(false).find(">1.00001 ms<"), std::string::npos);
    expect_clear(picture);
}

}  // namespace
}  // namespace gapwright
