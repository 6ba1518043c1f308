// Cards of couplers and phototransistors from points that a part of known figures gave.
#include <gtest/gtest.h>

#include "card/card_reading.hpp"
#include "card/default_card.hpp"
#include "card/key.hpp"
#include "fit/card_fit.hpp"
#include "fit/part_model.hpp"
#include "support/made_points.hpp"

namespace gapwright {
namespace {

using testing_support::point;
using Values = std::map<std::string, double, std::less<>>;

Description shipped(const std::string& name) {
    const auto card = read_card(name);
    if (card) return card->card;
    ADD_FAILURE() << to_text(card.error());
    return {};
}

// Measures a part with this card, as links are solved with it.
class Bench {
  public:
    explicit Bench(const Description& card) {
        auto made = part_model(card, {});
        if (made) model_ = std::move(*made);
        EXPECT_TRUE(model_);
    }
    MeasuredPoint measured(Values values, const std::string& what) const {
        const auto at = [&](const char* key, double otherwise) {
            return values.contains(key) ? values.find(key)->second : otherwise;
        };
        Observation o;
        o.measured = what == "dark_current" ? Measured::dark_current
                     : what == "rise_time"  ? Measured::rise_time
                     : what == "fall_time"  ? Measured::fall_time
                                            : Measured::collector_current;
        o.forward_current = at("forward_current", 0);
        o.irradiance = at("irradiance", 0);
        o.collector_emitter_voltage = at("collector_emitter_voltage", 0);
        o.supply_voltage = at("supply_voltage", 0);
        o.load_resistance = at("load_resistance", 0);
        o.temperature = at("temperature", 298.15);
        double value = 0;
        EXPECT_TRUE(model_->predict(o, {}, value, {})) << what;
        values[what] = what == "ctr" ? value / o.forward_current : value;
        return point(std::move(values));
    }

  private:
    std::unique_ptr<PartModel> model_;
};

CardFit fitted(const Description& base, const std::vector<MeasuredPoint>& points) {
    const auto fit = fit_card(base, points);
    if (fit) return *fit;
    ADD_FAILURE() << fit.error().message << to_text(fit.error().problems);
    return {};
}

const FittedFigure* find(const CardFit& fit, Key key) {
    for (const auto& figure : fit.figures) {
        if (figure.key == key) return &figure;
    }
    return nullptr;
}

TEST(ReceiverFit, OneRatioOfACouplerIsItsCtr) {
    const auto fit = fitted(
        *default_card(Kind::coupler),
        {point({{"forward_current", 5e-3}, {"collector_emitter_voltage", 5.0}, {"ctr", 0.83}})});
    const auto* ctr = find(fit, Key::ctr);
    ASSERT_TRUE(ctr);
    EXPECT_NEAR(ctr->value, 0.83, 0.002);
    ASSERT_EQ(ctr->conditions.size(), 2U);
    EXPECT_DOUBLE_EQ(ctr->conditions[0], 5e-3);
    EXPECT_DOUBLE_EQ(ctr->conditions[1], 5.0);
    EXPECT_NEAR(fit.card.nominal(Key::ctr), 0.83, 0.002);
}

TEST(ReceiverFit, ATemperatureSeriesTellsTheTemperatureCoefficient) {
    auto truth = *default_card(Kind::coupler);
    truth.figures[Key::temperature_coefficient].spread = exactly(-0.009);
    const Bench bench(truth);
    std::vector<MeasuredPoint> points;
    for (const double celsius : {-20.0, 0.0, 25.0, 50.0, 75.0}) {
        points.push_back(bench.measured({{"forward_current", 5e-3},
                                         {"collector_emitter_voltage", 5.0},
                                         {"temperature", celsius + 273.15}},
                                        "ctr"));
    }
    const auto fit = fitted(*default_card(Kind::coupler), points);
    const auto* coefficient = find(fit, Key::temperature_coefficient);
    ASSERT_TRUE(coefficient);
    EXPECT_FALSE(coefficient->kept);
    EXPECT_NEAR(coefficient->value, -0.009, 0.0005);
    // At one temperature it cannot show.
    points.resize(1);
    EXPECT_FALSE(find(fitted(*default_card(Kind::coupler), points), Key::temperature_coefficient));
}

TEST(ReceiverFit, ADarlingtonIsFittedFromItsCard) {
    const auto base = shipped("darlington-coupler");
    auto truth = base;
    truth.figures[Key::ctr].spread = exactly(11.0);
    const Bench bench(truth);
    std::vector<MeasuredPoint> points;
    for (const double ma : {0.5, 1.0, 2.0, 5.0}) {
        points.push_back(bench.measured(
            {{"forward_current", ma * 1e-3}, {"collector_emitter_voltage", 2.0}}, "ctr"));
    }
    const auto fit = fitted(base, points);
    EXPECT_NEAR(fit.card.nominal(Key::ctr), 11.0, 0.3);
    EXPECT_LT(fit.noise, 0.02);
    EXPECT_DOUBLE_EQ(fit.card.nominal(Key::second_gain), base.nominal(Key::second_gain));
}

// Dark current doubles every 10 K (common practice): what was measured at 55 °C is eight times what
// it is at 25 °C, as far as the transistor's gain stays the same.
TEST(ReceiverFit, HotDarkCurrentTellsTheColdOne) {
    const auto base = *default_card(Kind::coupler);
    const Bench bench(base);
    const auto hot = bench.measured({{"collector_emitter_voltage", 10.0}, {"temperature", 328.15}},
                                    "dark_current");
    auto more = hot;
    more.values["dark_current"] *= 5;
    const auto same = fitted(base, {hot});
    const auto fit = fitted(base, {more});
    const double cold = base.nominal(Key::dark_current);
    EXPECT_NEAR(same.card.nominal(Key::dark_current), cold, 0.01 * cold);
    EXPECT_GT(fit.card.nominal(Key::dark_current), 2 * cold);
    EXPECT_NEAR(fit.predicted.at(0), *more.find("dark_current"), 0.01 * fit.predicted.at(0));
}

TEST(ReceiverFit, APhototransistorsSensitivityIsStatedAtAnIrradiance) {
    const auto base = *default_card(Kind::phototransistor);
    auto truth = base;
    truth.figures[Key::sensitivity].spread = exactly(1.7 * base.nominal(Key::sensitivity));
    const Bench bench(truth);
    std::vector<MeasuredPoint> points;
    for (const double irradiance : {2.0, 5.0, 10.0, 20.0}) {
        points.push_back(bench.measured(
            {{"irradiance", irradiance}, {"collector_emitter_voltage", 5.0}}, "collector_current"));
    }
    const auto fit = fitted(base, points);
    const auto* sensitivity = find(fit, Key::sensitivity);
    ASSERT_TRUE(sensitivity);
    ASSERT_EQ(sensitivity->conditions.size(), 1U);
    EXPECT_DOUBLE_EQ(sensitivity->conditions[0], 10.0);
    EXPECT_NEAR(sensitivity->value, 1.7 * base.nominal(Key::sensitivity),
                0.02 * 1.7 * base.nominal(Key::sensitivity));
}

TEST(ReceiverFit, TimesAgainstLoadTellTheBaseCollectorCapacitance) {
    auto truth = *default_card(Kind::coupler);
    const double before = truth.nominal(Key::base_collector_capacitance);
    truth.figures[Key::base_collector_capacitance].spread = exactly(1.8 * before);
    const Bench bench(truth);
    std::vector<MeasuredPoint> points = {
        bench.measured({{"forward_current", 5e-3}, {"collector_emitter_voltage", 5.0}}, "ctr")};
    for (const double ohms : {100.0, 1000.0, 4700.0}) {
        for (const auto* what : {"rise_time", "fall_time"}) {
            points.push_back(bench.measured(
                {{"forward_current", 2e-3}, {"load_resistance", ohms}, {"supply_voltage", 10.0}},
                what));
        }
    }
    const auto fit = fitted(*default_card(Kind::coupler), points);
    const auto* capacitance = find(fit, Key::base_collector_capacitance);
    ASSERT_TRUE(capacitance);
    EXPECT_FALSE(capacitance->kept);
    EXPECT_LE(capacitance->lowest, 1.8 * before);
    EXPECT_GE(capacitance->highest, 1.8 * before);
    EXPECT_NEAR(capacitance->value, 1.8 * before, 0.1 * 1.8 * before);
}

TEST(ReceiverFit, TimesAloneTellItToo) {
    auto truth = *default_card(Kind::coupler);
    const double half = 0.5 * truth.nominal(Key::base_collector_capacitance);
    truth.figures[Key::base_collector_capacitance].spread = exactly(half);
    const Bench bench(truth);
    std::vector<MeasuredPoint> points;
    for (const double ohms : {470.0, 2200.0}) {
        points.push_back(bench.measured(
            {{"forward_current", 2e-3}, {"load_resistance", ohms}, {"supply_voltage", 10.0}},
            "fall_time"));
    }
    const auto fit = fitted(*default_card(Kind::coupler), points);
    ASSERT_EQ(fit.figures.size(), 1U);
    EXPECT_EQ(fit.figures[0].key, Key::base_collector_capacitance);
    EXPECT_LE(fit.figures[0].lowest, half);
    EXPECT_GE(fit.figures[0].highest, half);
    EXPECT_LT(fit.noise, 0.05);
}

TEST(ReceiverFit, ABaseCardsLimitsStayWhereTheyAre) {
    const auto base = shipped("four-pin-coupler-b");  // 130 % (90 .. 180 %) at 5 mA, 5 V
    const auto fit = fitted(
        base,
        {point({{"forward_current", 5e-3}, {"collector_emitter_voltage", 5.0}, {"ctr", 1.04}})});
    const auto* ctr = find(fit, Key::ctr);
    ASSERT_TRUE(ctr && ctr->spread);
    EXPECT_NEAR(ctr->value, 1.04, 0.002);
    EXPECT_NEAR(ctr->spread->lowest, 0.9, 1e-5);
    EXPECT_NEAR(ctr->spread->highest, 1.8, 1e-5);
    EXPECT_TRUE(fit.doubts.empty());
    // A strong specimen says nothing of weak ones; beyond the limits it is asked about.
    const auto strong = fitted(
        base,
        {point({{"forward_current", 5e-3}, {"collector_emitter_voltage", 5.0}, {"ctr", 2.5}})});
    const auto* beyond = find(strong, Key::ctr);
    ASSERT_TRUE(beyond && beyond->spread);
    EXPECT_NEAR(beyond->spread->lowest, 0.9, 1e-5);
    EXPECT_NEAR(beyond->spread->highest, 2.5, 0.01);
    EXPECT_EQ(strong.doubts.size(), 1U);
    // What was not measured stays as the card has it.
    EXPECT_EQ(fit.card.nominal(Key::forward), base.nominal(Key::forward));
    EXPECT_EQ(fit.card.nominal(Key::gain), base.nominal(Key::gain));
}

}  // namespace
}  // namespace gapwright
