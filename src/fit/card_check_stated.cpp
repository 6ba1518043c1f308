// Figures of a card by themselves and against one another, without the part's model. Bounds are
// common practice and own choice.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <limits>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "fit/card_findings.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright::checking {
namespace {

constexpr double no_bound = std::numeric_limits<double>::infinity();

// What a figure of the trade is: beyond `least` or `most` is nonsense, beyond the inner two only
// unlikely.
struct Likely {
    Key key;
    std::vector<Kind> kinds;
    double least, unlikely_below, unlikely_above, most;
    std::string_view why;
    // Whether the rule is of cards with this key, or of those without; empty: of all.
    std::optional<Key> with = {};
    std::optional<Key> without = {};
};

const std::vector<Likely>& likely_figures() {
    using K = Kind;
    static const std::vector<Likely> all = {
        {Key::ideality, {K::diode, K::zener}, 0.9, 1, 2.3, 4, "a diode's lies between 1 and 2"},
        {Key::ideality, {K::led}, 0.9, 1, 5, 8, "an LED's lies between 1 and about 5"},
        {Key::ideality, {K::coupler}, 0.9, 1, 2.5, 4, "an infrared emitter's lies between 1 and 2"},
        {Key::bandgap,
         {K::diode, K::zener, K::led, K::coupler},
         0.5,
         0.6,
         3.5,
         6.5,
         "silicon has 1.12 eV, infrared emitters 1.4 eV, blue ones 2.7 eV"},
        {Key::gamma,
         {K::light_dependent_resistor},
         0.2,
         0.45,
         1.1,
         2,
         "a cadmium sulphide cell's lies between 0.5 and 1"},
        {Key::gain, {K::transistor}, 1, 10, 1000, 10000, "a transistor's lies between 20 and 800"},
        {Key::early_voltage,
         {K::transistor, K::coupler, K::phototransistor},
         2,
         8,
         500,
         1e5,
         "it lies between 10 and 300 V"},
        {Key::ctr,
         {K::coupler},
         1e-4,
         0.02,
         20,
         100,
         "couplers with one transistor have 10 to 600 %; a darlington also states second_gain",
         {},
         Key::second_gain},
        {Key::ctr,
         {K::coupler},
         1e-4,
         0.02,
         50,
         100,
         "darlington couplers have 300 to some 1000 %",
         Key::second_gain},
        {Key::temperature_coefficient,
         {K::coupler, K::led},
         -0.03,
         -0.015,
         0.005,
         0.03,
         "an emitter loses 0.3 to 1 % of its light per kelvin"},
        {Key::reverse_voltage,
         {K::led},
         -no_bound,
         -no_bound,
         200,
         no_bound,
         "an LED stands some volts backwards"},
        {Key::luminous_intensity,
         {K::led},
         -no_bound,
         -no_bound,
         100,
         no_bound,
         "a bright LED of 5 mm has 10 cd; is it mcd?"},
        {Key::series_resistance,
         {K::led},
         -no_bound,
         5e-3,
         no_bound,
         no_bound,
         "an LED's lies between 0.1 and some 10 Ω"},
    };
    return all;
}

std::string shown(double value, const KeyRule& rule) {
    if (rule.key == Key::ctr) return percent(value);
    if (rule.dimension == Dimension::ratio) return fmt::format("{:.3g}", value);
    return text(value, rule.dimension);
}

void check_likely(Findings& findings) {
    const Description& card = findings.card();
    for (const auto& rule : likely_figures()) {
        const auto* stated = card.find(rule.key);
        if (!stated || std::ranges::find(rule.kinds, card.kind) == rule.kinds.end()) continue;
        if (rule.with && !card.find(*rule.with)) continue;
        if (rule.without && card.find(*rule.without)) continue;
        const auto& key = *find_key(kind_rule(card.kind), rule.key);
        const auto beyond = [&](double value) { return value < rule.least || value > rule.most; };
        const auto unlikely = [&](double value) {
            return value < rule.unlikely_below || value > rule.unlikely_above;
        };
        const std::array values = {stated->spread.nominal, stated->spread.lowest,
                                   stated->spread.highest};
        // The worst of the three: nonsense at one end is not hidden by another's unlikeliness.
        auto worst = std::ranges::find_if(values, beyond);
        const bool nonsense = worst != values.end();
        if (!nonsense) worst = std::ranges::find_if(values, unlikely);
        if (worst == values.end()) continue;
        findings.add(nonsense, rule.key,
                     fmt::format("{} of {}: {}", rule.key, shown(*worst, key), rule.why),
                     "check the figure, or the points it was fitted to");
    }
}

// Limits that contradict one another.
void check_pairs(Findings& findings) {
    struct Pair {
        Key smaller, larger;
        std::string_view why;
        Dimension dimension = Dimension::voltage;
        double factor = 1;  // of the larger one
    };
    constexpr std::array pairs = {
        Pair{Key::pull_in, Key::voltage, "the coil may not have the voltage that pulls it in"},
        Pair{Key::threshold, Key::gate_source_voltage,
             "the gate may not have the voltage that opens it"},
        Pair{Key::emitter_collector_voltage, Key::collector_emitter_voltage,
             "a receiver stands less backwards than forwards"},
        // Creepage runs over the surface, clearance by the shortest way.
        Pair{Key::external_clearance, Key::external_creepage,
             "no way over the surface is shorter than the one through air", Dimension::length},
        Pair{Key::repetitive_peak_voltage, Key::transient_peak_voltage,
             "it stands more for a moment than it does for ever"},
        Pair{Key::repetitive_peak_voltage, Key::isolation_test_voltage,
             "it is tested, r.m.s. times √2, with more than it stands for ever", Dimension::voltage,
             std::numbers::sqrt2},
        Pair{Key::insulation_voltage, Key::isolation_test_voltage,
             "it is tested with more than it may have in use"},
    };
    for (const auto& pair : pairs) {
        const auto small = findings.figure(pair.smaller);
        const auto large = findings.figure(pair.larger);
        if (!small || !large || std::abs(*small) <= *large * pair.factor * (1 + 1e-9)) continue;
        findings.add(true, pair.smaller,
                     fmt::format("{} is {}, {} only {}: {}", pair.smaller,
                                 text(std::abs(*small), pair.dimension), pair.larger,
                                 text(*large, pair.dimension), pair.why));
    }
}

// A junction's voltage is that of its band gap, more or less, and what its resistance adds.
void check_against_gap(Findings& findings) {
    const auto* forward = findings.stated(Key::forward);
    const auto gap = findings.figure(Key::bandgap);
    const auto series = findings.figure(Key::series_resistance);
    if (!forward || !gap || !series) return;
    const double gap_voltage = *gap;  // (eV, so volts of one charge)
    const double drop = *series * forward->conditions[0];
    // Diodes with a metal barrier have less than their silicon would, whose gap is only assumed.
    const Kind kind = findings.card().kind;
    const bool may_be_barrier =
        !findings.stated(Key::bandgap) && (kind == Kind::diode || kind == Kind::zener);
    const double unlikely_below = may_be_barrier ? 0.2 : 0.4;
    const double least = may_be_barrier ? 0.05 : 0.2;
    const double low = forward->spread.lowest / gap_voltage;
    const double high = (forward->spread.highest - drop) / gap_voltage;
    if (low >= unlikely_below && high <= 2.5) return;
    const bool too_low = low < unlikely_below;
    findings.add(low < least || high > 5, Key::forward,
                 fmt::format("{} forward is too {} for a band gap of {}",
                             text(too_low ? forward->spread.lowest : forward->spread.highest,
                                  Dimension::voltage),
                             too_low ? "little" : "much", text(*gap, Dimension::energy)),
                 "check both, and the unit of the voltage");
}

// Amperes where milliamperes were meant.
void check_test_current(Findings& findings) {
    const Kind kind = findings.card().kind;
    if ((kind != Kind::led && kind != Kind::coupler) || findings.figure(Key::forward_current))
        return;
    for (const Key key :
         {Key::forward, Key::ctr, Key::radiant_intensity, Key::luminous_intensity}) {
        const auto* figure = findings.stated(key);
        if (!figure || !find_key(kind_rule(kind), key) || figure->conditions[0] <= 1) continue;
        findings.add(false, key,
                     fmt::format("{} is stated at {}: mA typed as A?", key,
                                 text(figure->conditions[0], Dimension::current)));
    }
}

// The limits that every data sheet of a kind states: of each group any will do.
std::vector<std::vector<Key>> usual_limits(Kind kind) {
    switch (kind) {
        case Kind::resistor:
        case Kind::light_dependent_resistor:
            return {{Key::power}};
        case Kind::capacitor:
            return {{Key::voltage}};
        case Kind::inductor:
            return {{Key::current}};
        case Kind::contact:
            return {{Key::current}, {Key::voltage}};
        case Kind::diode:
        case Kind::led:
            return {{Key::forward_current}};
        case Kind::zener:
            return {{Key::power, Key::reverse_current}};
        case Kind::transistor:
        case Kind::phototransistor:
            return {{Key::collector_current}, {Key::collector_emitter_voltage}};
        case Kind::mosfet:
            return {{Key::drain_current}, {Key::drain_source_voltage}};
        case Kind::coil:
        case Kind::load:
            return {{Key::voltage, Key::power, Key::current}};
        case Kind::logic_output:
            return {{Key::source_limit, Key::sink_limit}};
        case Kind::logic_input:
            return {{Key::voltage}};
        case Kind::coupler:
            return {
                {Key::forward_current}, {Key::collector_current}, {Key::collector_emitter_voltage}};
        case Kind::pair:
        case Kind::battery:
            break;
    }
    return {};
}

void check_limits_are_there(Findings& findings) {
    std::vector<Key> missing;
    for (const auto& any : usual_limits(findings.card().kind)) {
        const auto stated = [&](Key key) { return findings.figure(key).has_value(); };
        if (std::ranges::none_of(any, stated)) missing.push_back(any.front());
    }
    if (missing.empty()) return;
    findings.add(false, missing.front(),
                 fmt::format("it states no limit of {}: nothing of it will be rated",
                             fmt::join(missing, ", ")),
                 "add to [limits] what its data sheet allows at most");
}

}  // namespace

void check_stated(Findings& findings) {
    check_likely(findings);
    check_pairs(findings);
    check_against_gap(findings);
    check_test_current(findings);
}

void check_gaps(Findings& findings) {
    const Description& card = findings.card();
    if (card.source.empty()) {
        findings.add(false, std::nullopt, "it does not say where its figures come from",
                     "add source = \"…\"");
    }
    check_limits_are_there(findings);
    for (const Key key : {Key::forward, Key::ctr, Key::photocurrent_ratio, Key::resistance,
                          Key::sensitivity, Key::gain, Key::threshold}) {
        const auto* stated = findings.stated(key);
        const bool counts = stated && find_key(kind_rule(card.kind), key);
        const bool receiver_gain = key == Key::gain && card.kind != Kind::transistor;
        if (!counts || receiver_gain || stated->spread.varies()) continue;
        findings.add(false, key,
                     fmt::format("{} has no spread: every specimen counts as the nominal one", key),
                     "state limits, from a data sheet or from several specimens");
    }
}

}  // namespace gapwright::checking
