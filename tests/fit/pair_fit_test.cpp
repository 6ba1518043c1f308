// A pair measured as it stands, without lux or watts: readings of made-up pairs, whose light and
// cell are no card's, become a card; the card shows what those pairs would.
#include "fit/pair_fit.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "card/card_reading.hpp"
#include "card/key.hpp"
#include "circuit/link_point.hpp"
#include "fit/card_file.hpp"
#include "fit/link_cards.hpp"
#include "link/link_circuit.hpp"
#include "support/card_folder.hpp"
#include "support/made_points.hpp"

namespace gapwright {
namespace {

using testing_support::CardFolder;
using testing_support::point;

// A lamp and a cell of a drawer, in a tube. The light per ampere is not proportional to any card's.
struct MadePair {
    double lux_per_ampere = 4e5;
    double room_share = 0.02;
    double at_10_lux = 13e3;
    double gamma = 0.78;
    double dark = 4e6;

    double resistance(double lux) const {
        return 1 / (std::pow(lux / 10, gamma) / at_10_lux + 1 / dark);
    }
    double lit(double current) const { return resistance(lux_per_ampere * current); }
    double in_room(double lux) const { return resistance(room_share * lux); }
};

MeasuredPair as_built(const std::string& emitter, const std::string& receiver) {
    const auto light = read_card(emitter);
    const auto cell = read_card(receiver);
    EXPECT_TRUE(light && cell);
    return {
        .emitter = {emitter, light->card}, .receiver = {receiver, cell->card}, .distance = 8e-3};
}

MeasuredPair lamp_pair() {
    return as_built("white-lamp-led", "ldr-5mm");
}

std::vector<MeasuredPoint> readings(const MadePair& pair, const std::vector<double>& currents) {
    std::vector<MeasuredPoint> points;
    for (const double current : currents) {
        points.push_back(point({{"forward_current", current}, {"resistance", pair.lit(current)}}));
    }
    points.push_back(point({{"forward_current", 0}, {"resistance", pair.resistance(0)}}));
    points.push_back(point({{"illuminance", 300}, {"resistance", pair.in_room(300)}}));
    return points;
}

PairFit fitted(const MeasuredPair& pair, const std::vector<MeasuredPoint>& points) {
    auto fit = fit_pair(pair, points);
    if (fit) return *fit;
    ADD_FAILURE() << fit.error().message << to_text(fit.error().problems);
    return {};
}

std::string refusal(const MeasuredPair& pair, const std::vector<MeasuredPoint>& points) {
    const auto fit = fit_pair(pair, points);
    if (fit) return "it was fitted";
    return fit.error().message + to_text(fit.error().problems);
}

const FittedFigure* figure(const PairFit& fit, Key key) {
    for (const auto& one : fit.receiver.figures) {
        if (one.key == key) return &one;
    }
    return nullptr;
}

// A link in which `pair` (a description) feeds the receiver's resistance into a divider.
std::string divider_link(const std::string& pair, double current) {
    return fmt::format(R"(
title = "Divider"
[input]
supply = "100 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > U1 > return"]
[parts]
S1 = {{ kind = "contact", open_resistance = "1e9 GΩ" }}
R1 = {{ kind = "resistor", value = "{} Ω" }}
R2 = {{ kind = "resistor", value = "1 kΩ" }}
U1 = {}
[states]
on = {{ S1 = "closed" }}
off = {{ S1 = "open" }}
)",
                       97 / current, pair);
}

TEST(PairFit, OneLitReadingACoveredOneAndTheRoomMakeACard) {
    // As somebody told it: 17 mA and taped 70 Ω, covered 4 MΩ, 40 kΩ in the room's light.
    const auto fit = fitted(
        lamp_pair(), {point({{"forward_current", 17e-3}, {"resistance", 70}}),
                      point({{"forward_current", 0}, {"resistance", 4e6}}),
                      point({{"forward_current", 0}, {"illuminance", 200}, {"resistance", 40e3}})});
    EXPECT_TRUE(fit.room_light);
    EXPECT_FALSE(fit.several_distances);
    EXPECT_TRUE(figure(fit, Key::gamma)->kept) << "one current cannot tell how it scales";
    const auto* lit = figure(fit, Key::resistance);
    EXPECT_NEAR(lit->value, 70, 0.5);
    EXPECT_LT(lit->spread->lowest, 67);
    EXPECT_GT(lit->spread->highest, 73);
    EXPECT_NEAR(figure(fit, Key::dark_resistance)->value, 4e6, 0.1e6);
    EXPECT_GT(fit.shroud.spread.nominal, 0.9);
    EXPECT_LT(fit.shroud.spread.lowest, fit.shroud.spread.nominal);
}

// What a link's receiver shows beside its emitter's current, lit or dark, at 25 °C.
struct Shown {
    double current = 0;
    double resistance = 0;
};
Shown shown_in(const Link& link, std::size_t state) {
    const auto circuit = build_circuit(link);
    EXPECT_TRUE(circuit);
    const auto points = solve_link(circuit->circuit, circuit->nominal_values(), Conditions{});
    EXPECT_TRUE(points);
    const auto gap = static_cast<std::size_t>(link.find_part("U1").value());
    const auto emitter = circuit->of(gap, Side::input);
    const auto receiver = circuit->of(gap, Side::output);
    const auto& point = (*points)[state];
    return {
        .current = measure(emitter->current(), point),
        .resistance = measure(receiver->voltage(), point) / measure(receiver->current(), point)};
}

TEST(PairFit, WhatItShowsInALinkIsWhatThePairShowed) {
    const MadePair made;
    const auto points = readings(made, {4e-3, 17e-3});
    const auto fit = fitted(lamp_pair(), points);
    const CardFolder folder;
    folder.write("tube.card.toml",
                 pair_file_text(fit, points, {.name = "Tube", .based_on = {}, .source = "bench"}));
    for (const double current : {2e-3, 8e-3, 25e-3}) {
        const auto link =
            read_checked_link(std::make_shared<const SourceText>(
                                  "tube.link.toml", divider_link(R"({ card = "tube" })", current)),
                              folder.path().string());
        ASSERT_TRUE(link) << to_text(link.error());
        const Shown on = shown_in(*link, 0);
        EXPECT_NEAR(on.current / current, 1, 0.02);
        EXPECT_NEAR(on.resistance / made.lit(on.current), 1, 0.03) << current;
        EXPECT_NEAR(shown_in(*link, 1).resistance / made.dark, 1, 0.05);
    }
}

TEST(PairFit, IntervalsHoldWhatMadeUpPairsAre) {
    std::mt19937 random(20261130);
    std::normal_distribution<double> normal;
    constexpr int pairs = 200;
    int lit = 0;
    int slope = 0;
    for (int k = 0; k < pairs; ++k) {
        const MadePair made{.lux_per_ampere = 3e5 * std::exp(normal(random)),
                            .room_share = 0.05,
                            .at_10_lux = 15e3 * std::exp(0.3 * normal(random)),
                            .gamma = 0.72 + 0.05 * normal(random),
                            .dark = 5e6};
        auto points = readings(made, {3e-3, 10e-3, 20e-3});
        for (auto& one : points) {
            one.uncertainty = 0.02;
            one.values["resistance"] *= 1 + 0.02 * normal(random);
        }
        const auto fit = fitted(lamp_pair(), points);
        const auto* r = figure(fit, Key::resistance);
        const auto* g = figure(fit, Key::gamma);
        ASSERT_TRUE(r && g);
        // (the test point is the current in the middle)
        const double truth = made.lit(10e-3);
        lit += r->lowest <= truth && truth <= r->highest ? 1 : 0;
        slope += g->lowest <= made.gamma && made.gamma <= g->highest ? 1 : 0;
    }
    EXPECT_GE(lit, pairs * 9 / 10);
    EXPECT_GE(slope, pairs * 9 / 10);
}

TEST(PairFit, TwoDistancesTellTheInverseSquareOneDoesNot) {
    const MadePair made;
    std::vector<MeasuredPoint> points;
    for (const double distance : {8e-3, 20e-3}) {
        points.push_back(
            point({{"forward_current", 10e-3},
                   {"distance", distance},
                   {"resistance", made.resistance(4e3 * std::pow(8e-3 / distance, 2))}}));
    }
    EXPECT_TRUE(fitted(lamp_pair(), points).several_distances);
    const auto one = fitted(lamp_pair(), {points.front()});
    EXPECT_FALSE(one.several_distances);
    const CardFolder folder;
    folder.write("tube.card.toml",
                 pair_file_text(one, points, {.name = "Tube", .based_on = {}, .source = "bench"}));
    const auto moved = read_checked_link(
        std::make_shared<const SourceText>(
            "tube.link.toml", divider_link(R"({ card = "tube", distance = "30 mm" })", 10e-3)),
        folder.path().string());
    ASSERT_FALSE(moved);
    EXPECT_NE(to_text(moved.error()).find("says nothing of another distance"), std::string::npos)
        << to_text(moved.error());
}

TEST(PairFit, AReceiverBehindAResistorIsReadByItsVoltage) {
    const MadePair made;
    const double r = made.lit(10e-3);
    const auto behind = [&](double current, double resistance) {
        return point({{"forward_current", current},
                      {"supply_voltage", 5},
                      {"load_resistance", 1e3},
                      {"receiver_voltage", 5 * resistance / (resistance + 1e3)}});
    };
    const auto fit = fitted(lamp_pair(), {behind(10e-3, r), behind(0, 4e6)});
    EXPECT_NEAR(figure(fit, Key::resistance)->value / r, 1, 1e-3);
    // 1.2 mV of 5 V: no meter tells them apart, and the note says so.
    EXPECT_TRUE(figure(fit, Key::dark_resistance)->kept);
    bool told = false;
    for (const auto& note : fit.notes) told = told || note.starts_with("1 reading within");
    EXPECT_TRUE(told);
}

TEST(PairFit, APhototransistorsPair) {
    const auto pair = as_built("infrared-led", "infrared-receiver");
    const auto lit = [](double current, double through) {
        return point({{"forward_current", current},
                      {"collector_current", through},
                      {"collector_emitter_voltage", 5}});
    };
    const auto fit = fitted(pair, {lit(10e-3, 0.5e-3), lit(20e-3, 1.05e-3),
                                   point({{"illuminance", 300},
                                          {"collector_current", 20e-6},
                                          {"collector_emitter_voltage", 5}})});
    ASSERT_TRUE(fit.ambient_sensitivity);
    EXPECT_TRUE(fit.room_light);
    // 20 µA of the room against 1.05 mA of the emitter: by that ratio of photocurrents, but for the
    // gain, which is less at 20 µA than at 1 mA.
    const auto* sensitivity = figure(fit, Key::sensitivity);
    const double by_room = 300 * fit.ambient_sensitivity->spread.nominal / 100;
    const double per_light = sensitivity->value / sensitivity->conditions[0];
    const double by_emitter = per_light * fit.intensity.spread.nominal / std::pow(8e-3, 2);
    const double ratio = by_room / by_emitter / (20e-6 / 1.05e-3);
    EXPECT_GE(ratio, 1.0);
    EXPECT_LT(ratio, 1.6);
}

// What a person finds who typed a wrong unit.
TEST(PairFit, OddReadingsAreAskedAbout) {
    const auto noted = [](const std::vector<MeasuredPoint>& points, const std::string& words) {
        for (const auto& note : fitted(lamp_pair(), points).notes) {
            if (note.find(words) != std::string::npos) return true;
        }
        return false;
    };
    const auto lit = point({{"forward_current", 17e-3}, {"resistance", 70}});
    const auto covered = point({{"forward_current", 0}, {"resistance", 4e6}});
    const auto room = [](double ohms) {
        return point({{"illuminance", 200}, {"resistance", ohms}});
    };
    EXPECT_FALSE(noted({lit, covered, room(40e3)}, "look at the unit"));
    EXPECT_TRUE(noted({lit, covered, room(40)}, "more light than from its emitter"));
    EXPECT_TRUE(noted({point({{"forward_current", 0.17}, {"resistance", 70}}), covered},
                      "is more than white-lamp-led allows"));
    EXPECT_NE(refusal(lamp_pair(), {lit, point({{"illuminance", 2e5}, {"resistance", 40e3}})})
                  .find("brighter than the sun"),
              std::string::npos);
    MeasuredPair nowhere = lamp_pair();
    nowhere.distance = 0;
    EXPECT_NE(refusal(nowhere, {lit}).find("how far apart"), std::string::npos);
}

// The light and the gain of a phototransistor multiply: only their product was read.
TEST(PairFit, APhototransistorsGainHasNoSpreadBesideWhatWasMeasured) {
    const auto fit = fitted(as_built("infrared-led", "infrared-receiver"),
                            {point({{"forward_current", 5e-3},
                                    {"collector_current", 0.41e-3},
                                    {"collector_emitter_voltage", 0.9}})});
    EXPECT_FALSE(fit.receiver.card.at(Key::gain).spread.varies());
    const std::string text = pair_file_text(fit, {}, {.name = "P", .based_on = {}, .source = "s"});
    EXPECT_NE(text.find("gain = \"300 (300 .. 300)\""), std::string::npos) << text;
}

TEST(PairFit, WhatSaysNothingIsRefusedWithARemedy) {
    const auto pair = lamp_pair();
    EXPECT_NE(refusal(pair, {point({{"resistance", 70}})}).find("without forward_current"),
              std::string::npos);
    EXPECT_NE(refusal(pair, {point({{"forward_current", 0}, {"resistance", 4e6}})})
                  .find("no reading was taken with the emitter on"),
              std::string::npos);
    EXPECT_NE(
        refusal(pair,
                {point({{"forward_current", 10e-3}, {"illuminance", 300}, {"resistance", 70}})})
            .find("two lights at once"),
        std::string::npos);
    EXPECT_NE(refusal(pair, {point({{"forward_current", 10e-3}, {"receiver_voltage", 2}})})
                  .find("supply_voltage and load_resistance"),
              std::string::npos);
    EXPECT_NE(refusal(pair, {point({{"forward_current", 10e-3}, {"resistance", 70}}),
                             point({{"forward_current", 0}, {"resistance", 4e6}}),
                             point({{"illuminance", 300}, {"resistance", 5e6}})})
                  .find("no light makes this receiver show"),
              std::string::npos);
}

}  // namespace
}  // namespace gapwright
