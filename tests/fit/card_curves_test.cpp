// Curves of cards: through the points that the cards state, within their bands.
#include "fit/card_curves.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include "card/card_reading.hpp"
#include "card/shipped_cards.hpp"

namespace gapwright {
namespace {

Description shipped(std::string_view name) {
    const auto card = read_card(std::string(name));
    if (card) return card->card;
    ADD_FAILURE() << to_text(card.error());
    return {};
}

std::vector<CardChart> charts_of(const Description& card,
                                 std::span<const Observation> measured = {}) {
    auto charts = card_charts(card, measured);
    if (charts) return *charts;
    ADD_FAILURE() << to_text(charts.error());
    return {};
}

const CardChart* chart(const std::vector<CardChart>& charts, const std::string& name) {
    for (const auto& each : charts) {
        if (each.name == name) return &each;
    }
    return nullptr;
}

// Where a curve whose `from` rises has its `to`, along a straight line between neighbours, of
// logarithms where asked.
double at(const std::vector<double>& from, const std::vector<double>& to, double wanted,
          bool logarithmic) {
    for (std::size_t k = 1; k < from.size(); ++k) {
        if (wanted > from[k]) continue;
        const auto coordinate = [&](double v) { return logarithmic ? std::log(v) : v; };
        const double share = (coordinate(wanted) - coordinate(from[k - 1])) /
                             (coordinate(from[k]) - coordinate(from[k - 1]));
        const double low = coordinate(to[k - 1]);
        const double value = low + share * (coordinate(to[k]) - low);
        return logarithmic ? std::exp(value) : value;
    }
    ADD_FAILURE() << wanted << " lies beyond the curve";
    return 0;
}

std::vector<std::string> shipped_with(Key key) {
    std::vector<std::string> names;
    for (const auto& card : shipped_cards()) {
        const auto read = shipped(card.name);
        if (has_charts(read.kind) && read.find(key)) names.emplace_back(card.name);
    }
    EXPECT_FALSE(names.empty()) << key_name(key);
    return names;
}

TEST(CardCurves, PassThroughTheForwardVoltageOfEveryShippedCard) {
    for (const auto& name : shipped_with(Key::forward)) {
        const auto card = shipped(name);
        const auto charts = charts_of(card);
        const auto* forward = chart(charts, "forward");
        ASSERT_TRUE(forward && forward->curves.size() == 1) << name;
        const auto& stated = *card.find(Key::forward);
        EXPECT_NEAR(at(forward->curves[0].y, forward->curves[0].x, stated.conditions[0], false),
                    stated.spread.nominal, 2e-3 * stated.spread.nominal)
            << name;
        EXPECT_EQ(forward->x.dimension, Dimension::voltage);
        EXPECT_EQ(forward->y.dimension, Dimension::current);
    }
}

TEST(CardCurves, PassThroughTheTransferRatioOfEveryShippedCoupler) {
    for (const auto& name : shipped_with(Key::ctr)) {
        const auto card = shipped(name);
        const auto charts = charts_of(card);
        const auto* transfer = chart(charts, "transfer");
        ASSERT_TRUE(transfer && transfer->curves.size() == 1) << name;
        const auto& stated = *card.find(Key::ctr);
        EXPECT_NEAR(at(transfer->curves[0].x, transfer->curves[0].y, stated.conditions[0], false),
                    stated.spread.nominal, 0.01 * stated.spread.nominal)
            << name;
        // Data sheets show it against temperature at the same point.
        const auto* temperature = chart(charts, "temperature");
        ASSERT_TRUE(temperature) << name;
        EXPECT_NEAR(at(temperature->curves[0].x, temperature->curves[0].y, 298.15, false),
                    stated.spread.nominal, 0.01 * stated.spread.nominal)
            << name;
    }
}

TEST(CardCurves, PassThroughTheResistanceOfEveryShippedLightDependentResistor) {
    for (const auto& name : shipped_with(Key::dark_resistance)) {
        const auto card = shipped(name);
        const auto charts = charts_of(card);
        const auto* light = chart(charts, "light");
        ASSERT_TRUE(light && light->curves.size() == 1) << name;
        const auto& stated = *card.find(Key::resistance);
        EXPECT_NEAR(at(light->curves[0].x, light->curves[0].y, stated.conditions[0], true),
                    stated.spread.nominal, 0.01 * stated.spread.nominal)
            << name;
        for (std::size_t k = 1; k < light->curves[0].y.size(); ++k) {
            EXPECT_LT(light->curves[0].y[k], light->curves[0].y[k - 1]) << name;
        }
    }
}

TEST(CardCurves, BandsEncloseTheNominalCurve) {
    std::size_t bands = 0;
    for (const auto& card : shipped_cards()) {
        const auto read = shipped(card.name);
        if (!has_charts(read.kind)) continue;
        for (const auto& each : charts_of(read)) {
            ASSERT_EQ(each.weakest.size(), each.strongest.size()) << card.name << each.name;
            if (each.weakest.empty()) continue;
            ASSERT_EQ(each.weakest.size(), each.curves.size()) << card.name << each.name;
            ++bands;
            const auto& nominal = each.curves[0];
            const auto& weak = each.weakest[0];
            const auto& strong = each.strongest[0];
            ASSERT_EQ(weak.x.size(), nominal.x.size());
            ASSERT_EQ(strong.x.size(), nominal.x.size());
            // What is measured runs upright, but for forward curves, where it runs along.
            const bool along = each.name == "forward";
            for (std::size_t k = 0; k < nominal.x.size(); ++k) {
                const double middle = along ? nominal.x[k] : nominal.y[k];
                const double one = along ? weak.x[k] : weak.y[k];
                const double other = along ? strong.x[k] : strong.y[k];
                EXPECT_LE(std::min(one, other), middle) << card.name << each.name;
                EXPECT_GE(std::max(one, other), middle) << card.name << each.name;
            }
        }
    }
    EXPECT_GT(bands, 5U);
}

// An LED's band ends at its stated limits, at the stated current.
TEST(CardCurves, BandEndsWhereTheCardSays) {
    const auto card = shipped("red-led");  // 2 V (1.8 .. 2.3 V) at 20 mA
    const auto charts = charts_of(card);
    const auto* forward = chart(charts, "forward");
    ASSERT_TRUE(forward && !forward->weakest.empty());
    std::vector<double> ends = {at(forward->weakest[0].y, forward->weakest[0].x, 20e-3, false),
                                at(forward->strongest[0].y, forward->strongest[0].x, 20e-3, false)};
    std::ranges::sort(ends);
    EXPECT_NEAR(ends[0], 1.8, 5e-3);
    EXPECT_NEAR(ends[1], 2.3, 5e-3);
}

TEST(CardCurves, ExactCardsHaveNoBand) {
    auto card = shipped("red-led");
    card.figures[Key::forward].spread = exactly(2.0);
    for (const auto& each : charts_of(card)) {
        EXPECT_TRUE(each.weakest.empty());
        EXPECT_TRUE(each.strongest.empty());
    }
}

TEST(CardCurves, OutputCurvesRiseAndLieAsTheirCurrents) {
    const auto charts = charts_of(shipped("four-pin-coupler-b"));
    const auto* output = chart(charts, "output");
    ASSERT_TRUE(output);
    ASSERT_GE(output->curves.size(), 2U);
    for (std::size_t c = 0; c < output->curves.size(); ++c) {
        const auto& curve = output->curves[c];
        EXPECT_FALSE(curve.name.empty());
        for (std::size_t k = 1; k < curve.y.size(); ++k) EXPECT_GE(curve.y[k], curve.y[k - 1]);
        EXPECT_GT(curve.y.back(), c > 0 ? output->curves[c - 1].y.back() : 0.0);
    }
}

TEST(CardCurves, ShowPointsOfTheirOwnChartOnly) {
    Observation forward{.measured = Measured::forward_voltage, .value = 1.2};
    forward.forward_current = 10e-3;
    Observation warm = forward;
    warm.temperature = 350;
    Observation ratio{.measured = Measured::collector_current, .value = 6e-3};
    ratio.as_ctr = true;
    ratio.forward_current = 5e-3;
    ratio.collector_emitter_voltage = 5;
    const std::vector<Observation> measured = {forward, warm, ratio};
    const auto charts = charts_of(shipped("four-pin-coupler-b"), measured);
    const auto* of_forward = chart(charts, "forward");
    ASSERT_TRUE(of_forward && of_forward->measured.size() == 1U);
    ASSERT_EQ(of_forward->measured[0].x.size(), 1U) << "not what was measured hot";
    EXPECT_DOUBLE_EQ(of_forward->measured[0].x[0], 1.2);
    EXPECT_DOUBLE_EQ(of_forward->measured[0].y[0], 10e-3);
    const auto* transfer = chart(charts, "transfer");
    ASSERT_TRUE(transfer && transfer->measured.size() == 1U);
    EXPECT_DOUBLE_EQ(transfer->measured[0].y[0], 1.2);  // 6 mA of 5 mA
    EXPECT_TRUE(chart(charts, "dark")->measured.empty());
}

// Tables are read at settings that people set, and every curve has been taken there.
TEST(CardCurves, AreReadAtRoundSettingsAndWhereTheCardStates) {
    for (const auto& card : shipped_cards()) {
        const auto read = shipped(card.name);
        if (!has_charts(read.kind)) continue;
        for (const auto& each : charts_of(read)) {
            ASSERT_GE(each.readings.size(), 4U) << card.name << each.name;
            EXPECT_TRUE(std::ranges::is_sorted(each.readings)) << card.name << each.name;
            for (const auto* curves : {&each.curves, &each.weakest, &each.strongest}) {
                for (const auto& curve : *curves) {
                    for (const double r : each.readings) {
                        EXPECT_TRUE(read_at(each, curve, r)) << card.name << each.name << r;
                    }
                }
            }
        }
    }
    const auto charts = charts_of(shipped("four-pin-coupler-b"));
    EXPECT_TRUE(chart(charts, "forward")->set_upright);
    const auto* temperature = chart(charts, "temperature");
    const auto warm = read_at(*temperature, temperature->curves[0], 298.15);
    ASSERT_TRUE(warm);
    EXPECT_NEAR(*warm, 1.3, 0.013);  // 130 % at 5 mA, 5 V
    auto odd = shipped("red-led");   // stated at a current that is no round one
    odd.figures[Key::forward].conditions = {17e-3};
    const auto odd_charts = charts_of(odd);
    const auto& forward = odd_charts.at(0);
    const auto stated = read_at(forward, forward.curves[0], 17e-3);
    ASSERT_TRUE(stated);
    EXPECT_NEAR(*stated, 2.0, 1e-6);
    EXPECT_FALSE(read_at(forward, forward.curves[0], 17.3e-3));
}

TEST(CardCurves, KindsWithoutCurvesHaveNone) {
    for (const auto* name : {"battery-9v", "relay-coil-5v", "logic-input-5v", "npn-small"}) {
        const auto card = shipped(name);
        EXPECT_FALSE(has_charts(card.kind)) << name;
        EXPECT_TRUE(charts_of(card).empty()) << name;
    }
}

}  // namespace
}  // namespace gapwright
