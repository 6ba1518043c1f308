// Eyes and trade-offs: well-formed and no text over another, whatever the data are.
#include <gtest/gtest.h>

#include "draw/eye_plot.hpp"
#include "draw/plot_checks.hpp"
#include "draw/trade_off_plot.hpp"

namespace gapwright {
namespace {

EyePlot eye() {
    EyePlot plot{.title = "e",
                 .bit = 50e-6,
                 .y = {.low = 0, .high = 5.5, .label = "output side"},
                 .traces = {edge(30e-6, 5e-6), edge(32e-6, 7e-6)},
                 .sampling = 60e-6,
                 .lowest_high = 4.7,
                 .highest_low = 1.6,
                 .levels = {{3.5, "high from 3.5 V"}, {1.5, "low up to 1.5 V"}}};
    return plot;
}

TEST(Eye, StatesItsOpening) {
    const Picture picture = draw_eye(eye());
    expect_clear(picture);
    EXPECT_NE(picture.svg(false).find(">opening 3.1 V<"), std::string::npos);
    EXPECT_NE(picture.svg(false).find("sampled at 60 µs"), std::string::npos);
    for (const double tip : arrow_tips(picture)) EXPECT_NEAR(tip, 60 + 380 * 0.6, 1);
}

TEST(Eye, AClosedOneSaysSo) {
    auto plot = eye();
    plot.lowest_high = 2;
    plot.highest_low = 2.3;
    const Picture picture = draw_eye(plot);
    expect_clear(picture);
    EXPECT_NE(picture.svg(false).find("closed by 300 mV"), std::string::npos);
}

TEST(Eye, DegenerateDataDoNotBreakIt) {
    for (const double bit : {0.0, 50e-6, not_a_number}) {
        for (const double sampling : {0.0, 60e-6, 100e-6, 1.0, not_a_number}) {
            for (const double high : {4.7, 1.6, 99.0, not_a_number}) {
                auto plot = eye();
                plot.bit = bit;
                plot.sampling = sampling;
                plot.lowest_high = high;
                plot.y.label = "output side, between the signal and its return";
                plot.traces.insert(plot.traces.end(), {{}, {{1e-6, 1}}, {{0, 2}, {1, 2}}});
                expect_clear(draw_eye(plot));
            }
        }
    }
}

TradeOffPlot trade_off() {
    TradeOffPlot plot{.title = "t",
                      .x = {.low = 470,
                            .high = 33e3,
                            .dimension = Dimension::resistance,
                            .label = "pull-up resistance",
                            .logarithmic = true},
                      .y = {.low = 0,
                            .high = 0.25,
                            .dimension = Dimension::ratio,
                            .label = "pulse-width error",
                            .percent = true},
                      .curves = {{"worst", "curve", {}}, {"nominal", "curve weak", {}}},
                      .bound = TradeOffBound{.y = 0.15, .label = "at most 15 %"},
                      .marks = {{"chosen 2.2 kΩ", {2200, 0.02}}},
                      .kept = TradeOffRange{1000, 4700}};
    for (double r = 300; r < 40e3; r *= 1.1) {
        const double off = std::abs(std::log(r / 2200));
        plot.curves[0].points.push_back({r, 0.02 + 0.08 * off});
        plot.curves[1].points.push_back({r, 0.01 + 0.04 * off});
    }
    return plot;
}

TEST(TradeOff, ShowsBoundChoiceAndKeptRange) {
    const Picture picture = draw_trade_off(trade_off());
    expect_clear(picture);
    const std::string svg = picture.svg(false);
    for (const char* part : {">at most 15 %<", ">chosen 2.2 kΩ<", ">kept: 1 … 4.7 kΩ<", ">worst<",
                             ">nominal<", "forbidden", ">2 kΩ<", ">15 %<"}) {
        EXPECT_NE(svg.find(part), std::string::npos) << part;
    }
}

TEST(TradeOff, DegenerateDataDoNotBreakIt) {
    for (const auto& points : std::vector<std::vector<Point>>{
             {}, {{2200, 0.1}}, {{100, 0.1}, {1e5, 0.1}}, {{2200, not_a_number}}}) {
        for (const double low : {470.0, 33e3, 0.0, -5.0, not_a_number}) {
            for (const double bound : {0.15, -1.0, 9.0}) {
                auto plot = trade_off();
                plot.curves[0].points = points;
                plot.x.low = low;
                plot.bound->y = bound;
                plot.bound->at_least = points.empty();
                plot.kept = TradeOffRange{low, low};
                plot.marks.push_back({"none", {not_a_number, 1}});
                plot.x.label =
                    "a resistance with a name that fills much of the line below the plot";
                expect_clear(draw_trade_off(plot));
            }
        }
    }
}

}  // namespace
}  // namespace gapwright
