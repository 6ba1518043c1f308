// Every shipped card against what is usual for its kind, by what its own model shows: one table.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <iostream>
#include <optional>
#include <string>
#include <vector>

#include "card/card_reading.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/shipped_cards.hpp"
#include "device/figures.hpp"
#include "device/mosfet.hpp"
#include "device/number.hpp"
#include "device/transistor.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"

namespace gapwright::reference {
namespace {

std::optional<double> shown(const Description& card, const Observation& o) {
    const auto model = part_model(card, {});
    double value = 0;
    if (!model || !(*model)->predict(o, {}, value, {})) return std::nullopt;
    return value;
}

Observation at(Measured measured, double emitter, double collector, double kelvin = 298.15) {
    Observation o{.measured = measured};
    o.forward_current = emitter;
    o.collector_emitter_voltage = collector;
    o.temperature = kelvin;
    return o;
}

// V/K of the forward voltage at the current it is stated at, over 25 to 65 °C.
std::optional<double> forward_slope(const Description& card) {
    const auto* forward = card.find(Key::forward);
    if (!forward) return std::nullopt;
    const auto cold = shown(card, at(Measured::forward_voltage, forward->conditions[0], 0));
    const auto warm = shown(card, at(Measured::forward_voltage, forward->conditions[0], 0, 338.15));
    if (!cold || !warm) return std::nullopt;
    return (*warm - *cold) / 40;
}

std::optional<double> transfer_over(const Description& card, double current, double against) {
    const auto low = shown(card, at(Measured::collector_current, current, 5));
    const auto high = shown(card, at(Measured::collector_current, against, 5));
    if (!low || !high) return std::nullopt;
    return (*low / current) / (*high / against);
}

// The collector-emitter voltage at which it carries a share of what it carries at 5 V.
std::optional<double> saturation(const Description& card, double emitter, double share) {
    const auto free = shown(card, at(Measured::collector_current, emitter, 5));
    if (!free) return std::nullopt;
    double low = 0.01;
    double high = 5;
    for (int turn = 0; turn < 60; ++turn) {
        const double middle = 0.5 * (low + high);
        const auto current = shown(card, at(Measured::collector_current, emitter, middle));
        if (!current) return std::nullopt;
        (*current < share * *free ? low : high) = middle;
    }
    return high;
}

Description with(Description card, Key key, double Spread::* end) {
    Spread& spread = card.figures.at(key).spread;
    spread = exactly(spread.*end);
    return card;
}

std::optional<double> dark(const Description& card, double Spread::* end, double kelvin = 298.15) {
    return shown(with(card, Key::dark_current, end), at(Measured::dark_current, 0, 10, kelvin));
}

struct Line {
    const char* what;
    std::vector<std::string> cards;  // their names begin so; empty: all of the kind
    Kind kind;
    double lowest, highest;
    const char* source;
    std::function<std::optional<double>(const Description&)> value;
};

const std::vector<Line> table = {
    {"forward slope, V/K",
     {},
     Kind::led,
     -4e-3,
     -1.4e-3,
     "common practice: -1.5 to -4 mV/K",
     forward_slope},
    {"forward slope, V/K",
     {},
     Kind::coupler,
     -2.6e-3,
     -1.2e-3,
     "common practice for infrared emitters",
     forward_slope},
    {"forward slope, V/K",
     {},
     Kind::diode,
     -2.5e-3,
     -0.8e-3,
     "common practice: silicon at some mA, about -2 mV/K; less at amperes",
     forward_slope},
    {"saturation at a tenth of the current, V",
     {"four-pin"},
     Kind::coupler,
     0.05,
     0.3,
     "common practice: 0.1 V typical, 0.2 V (0.3 V) guaranteed at an eighth to a tenth",
     [](const Description& c) { return saturation(c, 20e-3, 0.1); }},
    {"dark current, typical, A",
     {"four-pin"},
     Kind::coupler,
     0.3e-9,
     30e-9,
     "common practice: some nA",
     [](const Description& c) { return dark(c, &Spread::nominal); }},
    {"dark current, guaranteed, A",
     {"four-pin"},
     Kind::coupler,
     70e-9,
     500e-9,
     "common practice: 100 nA at 10 to 20 V",
     [](const Description& c) { return dark(c, &Spread::highest); }},
    {"dark current, guaranteed, A",
     {"darlington"},
     Kind::coupler,
     0.1e-6,
     2e-6,
     "common practice: 1 µA",
     [](const Description& c) { return dark(c, &Spread::highest); }},
    {"dark current, guaranteed, A",
     {},
     Kind::phototransistor,
     50e-9,
     500e-9,
     "common practice: 100 nA",
     [](const Description& c) { return dark(c, &Spread::highest); }},
    {"dark current's growth over 10 K",
     {"four-pin"},
     Kind::coupler,
     1.8,
     3.5,
     "common practice: twice every 8 to 10 K",
     [](const Description& c) -> std::optional<double> {
         const auto cool = dark(c, &Spread::nominal);
         const auto warm = dark(c, &Spread::nominal, 308.15);
         if (!cool || !warm) return std::nullopt;
         return *warm / *cool;
     }},
    {"transfer at 1 mA over that at 10 mA",
     {"four-pin"},
     Kind::coupler,
     0.3,
     0.75,
     "common practice: classes guarantee about a third at a tenth of the current",
     [](const Description& c) { return transfer_over(c, 1e-3, 10e-3); }},
    {"transfer at 40 mA over that at 10 mA",
     {"four-pin"},
     Kind::coupler,
     0.5,
     0.95,
     "common practice: it falls beyond 10 to 20 mA",
     [](const Description& c) { return transfer_over(c, 40e-3, 10e-3); }},
    {"transfer at 75 °C over that at 25 °C",
     {},
     Kind::coupler,
     0.55,
     0.95,
     "common practice: 60 to 90 % left",
     [](const Description& c) -> std::optional<double> {
         const auto cool = shown(c, at(Measured::collector_current, 5e-3, 5));
         const auto warm = shown(c, at(Measured::collector_current, 5e-3, 5, 348.15));
         if (!cool || !warm) return std::nullopt;
         return *warm / *cool;
     }},
    {"threshold slope, V/K",
     {},
     Kind::mosfet,
     -7e-3,
     -1e-3,
     "common practice: -2 to -6 mV/K",
     [](const Description& c) -> std::optional<double> { return c.nominal(Key::threshold_slope); }},
    {"gain at a thousandth of the largest current over that at a tenth",
     {},
     Kind::transistor,
     0.3,
     1.0,
     "common practice: it falls by a half at some ten microamperes",
     [](const Description& c) -> std::optional<double> {
         const Transistor<double> card{.transport_current = c.nominal(Key::transport_current),
                                       .gain = c.nominal(Key::gain),
                                       .reverse_gain = c.nominal(Key::reverse_gain),
                                       .early_voltage = c.nominal(Key::early_voltage),
                                       .knee_current = c.nominal(Key::knee_current),
                                       .leak_current = c.nominal(Key::leak_current),
                                       .leak_ideality = c.nominal(Key::leak_ideality),
                                       .collector_resistance = 0,
                                       .gain_exponent = c.nominal(Key::gain_exponent)};
         const auto law = transistor_at(card, 298.15);
         const auto gain = [&](double wanted) {
             double low = 0.2;
             double high = 1.1;
             for (int turn = 0; turn < 60; ++turn) {
                 const double v = 0.5 * (low + high);
                 (transistor_currents(law, v, v - 5.0).collector < wanted ? low : high) = v;
             }
             const auto currents = transistor_currents(law, high, high - 5.0);
             return currents.collector / currents.base;
         };
         const double most = c.nominal(Key::collector_current);
         return gain(1e-3 * most) / gain(0.1 * most);
     }},
    {"resistance at 100 lx over that at 10 lx",
     {},
     Kind::light_dependent_resistor,
     0.1,
     0.32,
     "common practice: gamma of 0.5 to 0.9",
     [](const Description& c) {
         Observation o{.measured = Measured::resistance};
         o.illuminance = 100;
         const auto bright = shown(c, o);
         o.illuminance = 10;
         const auto dim = shown(c, o);
         return bright && dim ? std::optional(*bright / *dim) : std::nullopt;
     }},
};

TEST(ShippedCards, AreWhatTheTradeKnows) {
    for (const auto& line : table) {
        std::size_t looked_at = 0;
        for (const auto& shipped : shipped_cards()) {
            const auto card = read_card(std::string(shipped.name));
            ASSERT_TRUE(card) << shipped.name;
            if (card->card.kind != line.kind) continue;
            const bool named = line.cards.empty() || shipped.name.starts_with(line.cards.front());
            if (!named) continue;
            const auto value = line.value(card->card);
            ASSERT_TRUE(value) << shipped.name << ": " << line.what;
            ++looked_at;
            std::cout << fmt::format("{}: {} {:.3g} ({:.3g} to {:.3g})\n", shipped.name, line.what,
                                     *value, line.lowest, line.highest);
            EXPECT_GE(*value, line.lowest)
                << shipped.name << ": " << line.what << "; " << line.source;
            EXPECT_LE(*value, line.highest)
                << shipped.name << ": " << line.what << "; " << line.source;
        }
        EXPECT_GT(looked_at, 0u) << line.what;
    }
}

}  // namespace
}  // namespace gapwright::reference
