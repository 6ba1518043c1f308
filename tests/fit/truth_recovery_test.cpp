// Parts whose figures are known, measured with 2 % of noise: the stated 95 % intervals must hold
// them about that often, no less and not much more.
#include <random>

#include "card/default_card.hpp"
#include "card/key.hpp"
#include "device/constants.hpp"
#include "fit/card_fit.hpp"
#include "fit/part_model.hpp"
#include "gtest/gtest.h"
#include "support/how_many.hpp"

namespace gapwright {
namespace {

constexpr double noise = 0.02;

struct Count {
    int within = 0;
    int figures = 0;
    int kept = 0;
    std::map<Key, std::pair<int, int>> by_key;

    void take(const CardFit& fit, const std::map<Key, double>& truth) {
        for (const auto& figure : fit.figures) {
            if (figure.kept) {
                ++kept;
                continue;
            }
            const double true_value = truth.at(figure.key);
            const bool holds = true_value >= figure.lowest && true_value <= figure.highest;
            ++figures;
            within += holds;
            ++by_key[figure.key].first;
            by_key[figure.key].second += holds;
        }
    }
    double share() const { return static_cast<double>(within) / figures; }
    std::string text() const {
        std::string result;
        for (const auto& [key, counts] : by_key) {
            result += std::string(key_name(key)) + " " + std::to_string(counts.second) + " of " +
                      std::to_string(counts.first) + "; ";
        }
        return result + std::to_string(kept) + " kept";
    }
};

class Draw {
  public:
    explicit Draw(std::uint64_t seed) : engine_(seed) {}
    double uniform(double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(engine_);
    }
    double factor(double most) { return std::exp(uniform(-std::log(most), std::log(most))); }
    double noisy(double value) {
        return value * (1 + noise * std::normal_distribution<double>()(engine_));
    }

  private:
    std::mt19937_64 engine_;
};

MeasuredPoint point(std::map<std::string, double, std::less<>> values) {
    return {.values = std::move(values)};
}

// An LED by its law, written out here anew: at a voltage set exactly, the current read with noise.
void measure_led(std::uint64_t seed, Count& count) {
    Draw draw(seed);
    const double ideality = 2.0 * draw.factor(1.5);
    const double series = 2.0 * draw.factor(4);
    const double volts = draw.uniform(1.6, 2.4);
    const double slope = ideality * boltzmann_constant * 298.15 / elementary_charge;
    const double saturation = 0.02 / std::expm1((volts - 0.02 * series) / slope);
    const auto voltage = [&](double current) {
        return slope * std::log1p(current / saturation) + current * series;
    };
    std::vector<MeasuredPoint> points;
    for (int k = 0; k < 15; ++k) {
        const double current = 1e-4 * std::pow(500.0, k / 14.0);
        points.push_back(point(
            {{"forward_current", draw.noisy(current)}, {"forward_voltage", voltage(current)}}));
    }
    const auto fit = fit_card(*default_card(Kind::led), points);
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    const auto& at = fit->figures.front();
    count.take(*fit, {{Key::forward, voltage(at.conditions[0])},
                      {Key::ideality, ideality},
                      {Key::series_resistance, series}});
}

void measure_light_resistor(std::uint64_t seed, Count& count) {
    Draw draw(seed);
    const double resistance = 1e4 * draw.factor(10);
    const double gamma = draw.uniform(0.5, 0.95);
    const double dark = 1e6 * draw.factor(10);
    const auto at = [&](double lux) {
        return 1 / (std::pow(lux / 10, gamma) / resistance + 1 / dark);
    };
    std::vector<MeasuredPoint> points;
    for (int k = 0; k < 10; ++k) {
        const double lux = 0.1 * std::pow(10000.0, k / 9.0);
        points.push_back(point({{"illuminance", lux}, {"resistance", draw.noisy(at(lux))}}));
    }
    const auto fit = fit_card(*default_card(Kind::light_dependent_resistor), points);
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    const double reference = fit->figures.front().conditions[0];
    count.take(*fit, {{Key::resistance, resistance * std::pow(reference / 10, -gamma)},
                      {Key::gamma, gamma},
                      {Key::dark_resistance, dark}});
}

// A coupler as links are solved with it: transfer ratio against current, output curves,
// temperature, dark current.
void measure_coupler(std::uint64_t seed, Count& count) {
    Draw draw(seed);
    Description card = *default_card(Kind::coupler);
    card.figures.erase(Key::ctr);
    std::map<Key, double> truth;
    const auto set = [&](Key key, double value) {
        card.figures[key].spread = exactly(value);
        truth[key] = value;
    };
    set(Key::photocurrent_ratio, 4e-3 * draw.factor(3));
    set(Key::low_knee, 0.6e-3 * draw.factor(3));
    set(Key::high_knee, 0.12 * draw.factor(2.5));
    set(Key::temperature_coefficient, draw.uniform(-0.012, 0.002));
    set(Key::dark_current, 1e-10 * draw.factor(10));
    set(Key::early_voltage, 60 * draw.factor(2.2));
    set(Key::knee_current, 30e-3 * draw.factor(2.5));
    set(Key::collector_resistance, 4 * draw.factor(3));
    set(Key::leak_current, 2e-12 * draw.factor(8));
    const auto model = part_model(card, {});
    ASSERT_TRUE(model);
    const auto measured = [&](std::map<std::string, double, std::less<>> values,
                              const std::string& what) {
        Observation o{.measured = what == "dark_current" ? Measured::dark_current
                                                         : Measured::collector_current};
        o.forward_current = values.contains("forward_current") ? values["forward_current"] : 0;
        o.collector_emitter_voltage = values["collector_emitter_voltage"];
        o.temperature = values.contains("temperature") ? values["temperature"] : 298.15;
        double value = 0;
        EXPECT_TRUE((*model)->predict(o, {}, value, {}));
        values[what] = draw.noisy(what == "ctr" ? value / o.forward_current : value);
        return point(std::move(values));
    };
    std::vector<MeasuredPoint> points;
    for (const double ma : {0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0}) {
        points.push_back(
            measured({{"forward_current", ma * 1e-3}, {"collector_emitter_voltage", 5.0}}, "ctr"));
    }
    for (const double ma : {5.0, 20.0}) {
        for (const double volts : {0.2, 0.4, 1.0, 2.0, 10.0, 20.0}) {
            points.push_back(
                measured({{"forward_current", ma * 1e-3}, {"collector_emitter_voltage", volts}},
                         "collector_current"));
        }
    }
    for (const double celsius : {-20.0, 0.0, 50.0, 75.0}) {
        points.push_back(measured({{"forward_current", 5e-3},
                                   {"collector_emitter_voltage", 5.0},
                                   {"temperature", celsius + 273.15}},
                                  "ctr"));
    }
    for (const double celsius : {25.0, 50.0, 75.0}) {
        points.push_back(
            measured({{"collector_emitter_voltage", 10.0}, {"temperature", celsius + 273.15}},
                     "dark_current"));
    }
    const auto fit = fit_card(*default_card(Kind::coupler), points);
    ASSERT_TRUE(fit) << fit.error().message << to_text(fit.error().problems);
    for (const auto& figure : fit->figures) {
        if (figure.key != Key::ctr) continue;
        Observation o{.measured = Measured::collector_current};
        o.forward_current = figure.conditions[0];
        o.collector_emitter_voltage = figure.conditions[1];
        double current = 0;
        ASSERT_TRUE((*model)->predict(o, {}, current, {}));
        truth[Key::ctr] = current / o.forward_current;
    }
    count.take(*fit, truth);
}

TEST(TruthRecovery, IntervalsHoldWhatTheySayForTwoHundredParts) {
    const unsigned share = testing_support::how_many(20U, 1U);  // one in so many
    Count all;
    Count leds;
    Count resistors;
    Count couplers;
    for (std::uint64_t part = 0; part < 80 / share; ++part) measure_led(part, leds);
    for (std::uint64_t part = 0; part < 60 / share; ++part) measure_light_resistor(part, resistors);
    for (std::uint64_t part = 0; part < 60 / share; ++part) measure_coupler(part, couplers);
    for (const auto* count : {&leds, &resistors, &couplers}) {
        all.within += count->within;
        all.figures += count->figures;
        RecordProperty("share", std::to_string(count->share()));
        SCOPED_TRACE(count->text());
        EXPECT_GT(count->figures, 0);
        std::printf("  %.1f %%: %s\n", 100 * count->share(), count->text().c_str());
    }
    std::printf("  all %.1f %% of %d\n", 100 * all.share(), all.figures);
    if (share == 1) {
        EXPECT_GE(all.share(), 0.90);
        EXPECT_LE(all.share(), 0.98);
    }
}

}  // namespace
}  // namespace gapwright
