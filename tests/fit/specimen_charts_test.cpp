// Several specimens' points beside the limits of the card that was made of them.
#include "fit/specimen_charts.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "card/default_card.hpp"
#include "card/key.hpp"

namespace gapwright {
namespace {

// LEDs by the textbook's law: 1.9 V and what the specimen has more at 10 mA, 2 n·V_T a neper.
std::vector<MeasuredPoint> made_leds(const std::vector<double>& offsets) {
    std::vector<MeasuredPoint> points;
    for (std::size_t k = 0; k < offsets.size(); ++k) {
        for (const double current : {20e-3, 1e-3, 5e-3}) {
            MeasuredPoint point;
            point.values["forward_current"] = current;
            point.values["forward_voltage"] =
                1.9 + offsets[k] + 2 * 0.02569 * std::log(current / 10e-3) + 2 * (current - 10e-3);
            point.specimen = "L" + std::to_string(k + 1);
            points.push_back(point);
        }
    }
    return points;
}

CardFit fit_of(const std::vector<double>& offsets) {
    auto fit = fit_card(*default_card(Kind::led), made_leds(offsets));
    EXPECT_TRUE(fit);
    return *fit;
}

TEST(SpecimenCharts, ShowEverySpecimenWithinTheCardsLimits) {
    const CardFit fit = fit_of({-0.03, 0.01, 0, 0.02, -0.01, 0.03});
    const auto charts = specimen_charts(fit);
    ASSERT_TRUE(charts) << to_text(charts.error());
    ASSERT_EQ(charts->size(), 1U);
    const SpecimenChart& chart = charts->front();
    EXPECT_EQ(chart.name, "specimens-forward");
    EXPECT_EQ(chart.title, "Forward voltage of 6 specimens against forward current");
    ASSERT_EQ(chart.specimens.size(), 6U);
    for (const auto& specimen : chart.specimens) {
        EXPECT_TRUE(specimen.within) << specimen.name;
        ASSERT_EQ(specimen.x.size(), 3U);
        EXPECT_TRUE(std::ranges::is_sorted(specimen.x));
        EXPECT_DOUBLE_EQ(specimen.x.front(), 1e-3);
    }
    ASSERT_EQ(chart.lowest.x.size(), 18U);
    for (std::size_t k = 0; k < chart.lowest.x.size(); ++k) {
        EXPECT_LT(chart.lowest.y[k], chart.nominal.y[k]);
        EXPECT_LT(chart.nominal.y[k], chart.highest.y[k]);
        // the middle of the six, by the law that they were made by
        const double x = chart.nominal.x[k];
        EXPECT_NEAR(chart.nominal.y[k],
                    1.9033 + 2 * 0.02569 * std::log(x / 10e-3) + 2 * (x - 10e-3), 0.01);
    }
}

TEST(SpecimenCharts, TellOneThatLiesBeyondTheLimits) {
    CardFit fit = fit_of({-0.03, 0.01, 0, 0.02, -0.01, 0.03, 0.2});
    // Limits as somebody might state them.
    for (auto& [key, figure] : fit.card.figures) {
        if (figure.has_stated_spread()) figure.spread = exactly(figure.spread.nominal);
    }
    auto& forward = fit.card.figures[Key::forward].spread;
    forward.lowest = forward.nominal - 0.1;
    forward.highest = forward.nominal + 0.1;
    const auto charts = specimen_charts(fit);
    ASSERT_TRUE(charts);
    for (const auto& specimen : charts->front().specimens) {
        EXPECT_EQ(specimen.within, specimen.name != "L7") << specimen.name;
    }
}

TEST(SpecimenCharts, AreNoneForOneSpecimen) {
    const auto charts = specimen_charts(fit_of({0}));
    ASSERT_TRUE(charts);
    EXPECT_TRUE(charts->empty());
}

}  // namespace
}  // namespace gapwright
