// Cards of LEDs from points: what one point tells, what two, what exact points of a known law.
#include "fit/card_fit.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include "card/default_card.hpp"
#include "fit/card_file.hpp"
#include "fit/part_model.hpp"
#include "support/made_points.hpp"

namespace gapwright {
namespace {

using testing_support::DiodeLaw;
using testing_support::point;

std::expected<CardFit, CardFitFailure> fit_led(const std::vector<MeasuredPoint>& points,
                                               const CardFitOptions& options = {}) {
    return fit_card(*default_card(Kind::led), points, options);
}

const FittedFigure& figure(const CardFit& fit, Key key) {
    static const FittedFigure none;
    for (const auto& each : fit.figures) {
        if (each.key == key) return each;
    }
    ADD_FAILURE() << "no figure " << key_name(key);
    return none;
}

// Eleven points from 0.1 to 30 mA.
std::vector<MeasuredPoint> points_of(const DiodeLaw& law, const std::string& specimen = {}) {
    std::vector<MeasuredPoint> points;
    for (int k = 0; k <= 10; ++k)
        points.push_back(law.at(1e-4 * std::pow(300, k / 10.0), specimen));
    return points;
}

TEST(CardFit, OnePointIsEnoughForAnLed) {
    const auto fit = fit_led({point({{"forward_current", 5e-3}, {"forward_voltage", 1.87}})});
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    // The curve passes through it …
    const auto& forward = figure(*fit, Key::forward);
    EXPECT_FALSE(forward.kept);
    const auto model = part_model(fit->card, {});
    ASSERT_TRUE(model);
    double volts = 0;
    ASSERT_TRUE((*model)->predict({.measured = Measured::forward_voltage, .forward_current = 5e-3},
                                  {}, volts, {}));
    EXPECT_NEAR(volts, 1.87, 1e-3);
    EXPECT_LT(forward.lowest, 1.87);
    EXPECT_GT(forward.highest, 1.87);
    // … and what it cannot tell stays as it was, and is said to.
    const auto base = *default_card(Kind::led);
    for (const Key key : {Key::ideality, Key::series_resistance}) {
        const auto& kept = figure(*fit, key);
        EXPECT_TRUE(kept.kept) << key_name(key);
        EXPECT_DOUBLE_EQ(fit->card.nominal(key), base.nominal(key)) << key_name(key);
        EXPECT_TRUE(fit->card.find(key)->assumed) << key_name(key);
        EXPECT_NE(kept_words(*fit, kept).find("cannot tell"), std::string::npos);
    }
    EXPECT_TRUE(fit->specimens.empty());
    EXPECT_TRUE(fit->strays.empty());
    EXPECT_FALSE(forward.spread) << "one specimen, and no card that states one";
}

TEST(CardFit, TwoPointsArePassedCloseBy) {
    const DiodeLaw law{.ideality = 2.0, .series = 2.0};  // as any LED is assumed to be
    const auto fit = fit_led({law.at(1e-3), law.at(20e-3)});
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    ASSERT_EQ(fit->predicted.size(), 2U);
    for (std::size_t k = 0; k < 2; ++k) {
        EXPECT_NEAR(fit->predicted[k], fit->observations[k].value, 3e-3);
    }
}

TEST(CardFit, ExactPointsGiveTheLawBack) {
    for (const DiodeLaw law :
         {DiodeLaw{1e-18, 1.8, 2.5}, DiodeLaw{1e-26, 1.4, 6.0}, DiodeLaw{1e-12, 3.0, 12.0}}) {
        const auto fit = fit_led(points_of(law));
        ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
        EXPECT_NEAR(figure(*fit, Key::ideality).value, law.ideality, 0.01 * law.ideality);
        EXPECT_NEAR(figure(*fit, Key::series_resistance).value, law.series, 0.03 * law.series);
        const auto& forward = figure(*fit, Key::forward);
        ASSERT_EQ(forward.conditions.size(), 1U);
        EXPECT_NEAR(forward.value, law.voltage(forward.conditions[0]), 1e-3);
        EXPECT_LT(fit->noise, 1e-3);
        for (const auto& f : fit->figures) {
            EXPECT_FALSE(f.kept) << key_name(f.key);
            EXPECT_LE(f.lowest, f.value) << key_name(f.key);
            EXPECT_GE(f.highest, f.value) << key_name(f.key);
        }
    }
}

TEST(CardFit, StrayIsNamedAndHardlyMovesTheResult) {
    const DiodeLaw law{1e-18, 1.8, 2.5};
    auto points = points_of(law);
    const auto clean = fit_led(points);
    points[4].values["forward_voltage"] *= 1.25;
    const auto fit = fit_led(points);
    ASSERT_TRUE(clean && fit);
    ASSERT_EQ(fit->strays.size(), 1U);
    EXPECT_EQ(fit->observations[fit->strays[0]].point, 4U);
    EXPECT_NEAR(figure(*fit, Key::forward).value, figure(*clean, Key::forward).value, 0.02);
    EXPECT_NEAR(figure(*fit, Key::ideality).value, law.ideality, 0.15 * law.ideality);
}

TEST(CardFit, ResultsStandByObservation) {
    const DiodeLaw law;
    const auto fit = fit_led(points_of(law));
    ASSERT_TRUE(fit);
    EXPECT_EQ(fit->observations.size(), 11U);
    EXPECT_EQ(fit->predicted.size(), 11U);
    EXPECT_EQ(fit->misfits.size(), 11U);
    // The noise as its definition has it.
    double sum = 0;
    for (std::size_t k = 0; k < 11; ++k) {
        sum += std::pow(fit->observations[k].value / fit->predicted[k] - 1, 2);
    }
    EXPECT_NEAR(fit->noise, std::sqrt(sum / 11), 1e-12);
}

TEST(CardFit, SeveralSpecimensGiveASpreadThatHoldsThem) {
    std::vector<MeasuredPoint> points;
    const std::vector<double> saturations = {1e-18, 2e-18, 0.5e-18, 1.5e-18};
    for (std::size_t s = 0; s < saturations.size(); ++s) {
        const auto own = points_of({saturations[s], 1.8, 2.5}, "part " + std::to_string(s));
        points.insert(points.end(), own.begin(), own.end());
    }
    const auto fit = fit_led(points);
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    ASSERT_EQ(fit->specimens.size(), 4U);
    ASSERT_FALSE(fit->figures.empty());
    for (std::size_t s = 0; s < 4; ++s) {
        const auto& specimen = fit->specimens[s];
        EXPECT_EQ(specimen.name, "part " + std::to_string(s));
        EXPECT_EQ(specimen.observations, 11U);
        ASSERT_EQ(specimen.values.size(), fit->figures.size());
        for (std::size_t k = 0; k < fit->figures.size(); ++k) {
            const auto& f = fit->figures[k];
            ASSERT_TRUE(f.spread) << key_name(f.key);
            EXPECT_GE(specimen.values[k], f.spread->lowest) << key_name(f.key);
            EXPECT_LE(specimen.values[k], f.spread->highest) << key_name(f.key);
        }
    }
    const auto& forward = figure(*fit, Key::forward);
    EXPECT_NE(forward.spread_from.find("4 specimens"), std::string::npos) << forward.spread_from;
    EXPECT_TRUE(fit->card.find(Key::forward)->spread.varies());
}

TEST(CardFit, UnevenSpecimensAreRefused) {
    std::vector<MeasuredPoint> points = points_of({}, "one");
    auto warm = points_of({}, "two");
    for (std::size_t k = 0; k < warm.size(); ++k) {
        warm[k].values["temperature"] = k % 2 == 0 ? 298.15 : 338.15;
    }
    points.insert(points.end(), warm.begin(), warm.end());
    const auto fit = fit_led(points);
    ASSERT_FALSE(fit);
    ASSERT_FALSE(fit.error().problems.empty());
    EXPECT_FALSE(fit.error().stopped);
}

TEST(CardFit, StatedLimitsTakeTheSpreadsPlace) {
    CardFitOptions options;
    options.limits[Key::forward] = {.spread = {0, 1.5, 2.6}};
    const auto fit = fit_led(points_of({}), options);
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    const auto& forward = figure(*fit, Key::forward);
    ASSERT_TRUE(forward.spread);
    EXPECT_DOUBLE_EQ(forward.spread->lowest, 1.5);
    EXPECT_DOUBLE_EQ(forward.spread->highest, 2.6);
    EXPECT_DOUBLE_EQ(forward.spread->nominal, forward.value) << "the limits' nominal is ignored";
    EXPECT_DOUBLE_EQ(fit->card.find(Key::forward)->spread.highest, 2.6);
}

TEST(CardFit, LimitsThatDoNotHoldTheValueAreRefused) {
    CardFitOptions options;
    options.limits[Key::forward] = {.spread = {3.2, 3.0, 3.4}};
    const auto fit = fit_led(points_of({}), options);
    ASSERT_FALSE(fit);
    ASSERT_EQ(fit.error().problems.size(), 1U);
    EXPECT_EQ(fit.error().problems[0].cause, Cause::contradiction);
    EXPECT_NE(fit.error().problems[0].message.find("forward"), std::string::npos);
}

TEST(CardFit, LimitsOfWhatIsNotFittedAreRefused) {
    CardFitOptions options;
    options.limits[Key::gain] = {.spread = {2, 1, 3}};
    const auto fit = fit_led(points_of({}), options);
    ASSERT_FALSE(fit);
    EXPECT_EQ(fit.error().problems.at(0).cause, Cause::unknown_key);
    EXPECT_NE(fit.error().problems[0].message.find("limits of gain"), std::string::npos);
}

TEST(CardFit, BadPointsAreTold) {
    const auto fit = fit_led({point({{"forward_voltage", 2.0}})});
    ASSERT_FALSE(fit);
    EXPECT_EQ(fit.error().problems.at(0).cause, Cause::missing_key);
    EXPECT_FALSE(fit.error().stopped);
}

TEST(CardFit, StopIsHeard) {
    std::stop_source source;
    source.request_stop();
    CardFitOptions options;
    options.stop = source.get_token();
    const auto fit = fit_led(points_of({}), options);
    ASSERT_FALSE(fit);
    EXPECT_TRUE(fit.error().stopped);
    EXPECT_TRUE(fit.error().problems.empty());
}

TEST(CardFit, IsTheSameTwice) {
    auto points = points_of({});
    double sign = 1;
    for (auto& p : points) p.values["forward_voltage"] *= 1 + 2e-3 * (sign = -sign);
    const auto text = [&] {
        const auto fit = fit_led(points);
        return fit ? card_file_text(*fit, points, {.name = "x", .based_on = {}, .source = "y"})
                   : std::string("no fit");
    };
    const std::string first = text();
    EXPECT_NE(first, "no fit");
    EXPECT_EQ(first, text());
}

TEST(CardFit, ProgressCountsSpecimens) {
    std::vector<MeasuredPoint> points = {DiodeLaw{}.at(5e-3, "one"), DiodeLaw{}.at(5e-3, "two")};
    std::vector<std::pair<std::size_t, std::size_t>> told;
    CardFitOptions options;
    options.progress = [&](std::size_t done, std::size_t of) { told.emplace_back(done, of); };
    ASSERT_TRUE(fit_led(points, options));
    ASSERT_FALSE(told.empty());
    for (const auto& [done, of] : told) {
        EXPECT_LE(done, of);
        EXPECT_EQ(of, 2U);
    }
}

}  // namespace
}  // namespace gapwright
