// Figures of a card by themselves and against one another, without the part's model. Bounds are
// common practice and own choice.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "fit/card_findings.hpp"
#include "fit/usual_figures.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright::checking {
namespace {

std::string shown(double value, const KeyRule& rule) {
    if (rule.key == Key::ctr) return percent(value);
    if (rule.dimension == Dimension::ratio) return fmt::format("{:.3g}", value);
    return text(value, rule.dimension);
}

constexpr std::string_view look_again =
    "check the figure, its unit, or the points it was fitted to";

void check_usual_figures(Findings& findings) {
    const Description& card = findings.card();
    for (const auto& rule : usual_figures()) {
        const auto* stated = findings.stated(rule.key);
        if (!stated || std::ranges::find(rule.kinds, card.kind) == rule.kinds.end()) continue;
        if (rule.with && !card.find(*rule.with)) continue;
        if (rule.without && card.find(*rule.without)) continue;
        const auto& key = *find_key(kind_rule(card.kind), rule.key);
        const auto beyond = [&](double value) {
            return value < rule.least_possible || value > rule.most_possible;
        };
        const auto unlikely = [&](double value) {
            return value < rule.lowest || value > rule.highest;
        };
        const std::array values = {stated->spread.nominal, stated->spread.lowest,
                                   stated->spread.highest};
        // The worst of the three: nonsense at one end is not hidden by another's unlikeliness. An
        // end may well be rarer than what is usual of a whole type.
        const auto worst = std::ranges::find_if(values, beyond);
        const bool nonsense = worst != values.end();
        if (!nonsense && !unlikely(values[0])) continue;
        findings.add(
            nonsense, rule.key,
            fmt::format("{} of {}: usual is {} to {}{}{}", rule.key,
                        shown(nonsense ? *worst : values[0], key), shown(rule.lowest, key),
                        shown(rule.highest, key), rule.hint.empty() ? "" : "; ", rule.hint),
            std::string(look_again));
    }
}

void check_usual_relations(Findings& findings) {
    const Description& card = findings.card();
    for (const auto& rule : usual_relations()) {
        if (std::ranges::find(rule.kinds, card.kind) == rule.kinds.end()) continue;
        const auto stated = [&](Key key) { return findings.stated(key) != nullptr; };
        if (!std::ranges::all_of(rule.of, stated)) continue;
        const double value = rule.value(card);
        if (value >= rule.lowest && value <= rule.highest) continue;
        const auto in_words = [&](double of) {
            return rule.dimension == Dimension::ratio ? fmt::format("{:.3g}", of)
                                                      : text(of, rule.dimension);
        };
        std::vector<std::string> names;
        for (const Key key : rule.of) names.emplace_back(key_name(key));
        findings.add(value < rule.least_possible || value > rule.most_possible, rule.of.front(),
                     fmt::format("{} is {}: usual is {} to {}", rule.words, in_words(value),
                                 in_words(rule.lowest), in_words(rule.highest)),
                     fmt::format("check {} and {} units", fmt::join(names, ", "),
                                 names.size() == 1 ? "its" : "their"));
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
    if ((kind != Kind::led && kind != Kind::coupler) || findings.stated(Key::forward_current))
        return;
    for (const Key key :
         {Key::forward, Key::ctr, Key::radiant_intensity, Key::luminous_intensity}) {
        const auto* figure = findings.stated(key);
        if (!figure || !find_key(kind_rule(kind), key)) continue;
        const double current = figure->conditions[0];
        // Common practice: couplers' emitters stand 10 to 100 mA; LEDs of some amperes are rare.
        const double unlikely = kind == Kind::coupler ? 0.12 : 0.4;
        if (current <= unlikely) continue;
        findings.add(current > 2.5 * unlikely, key,
                     fmt::format("{} is stated at {}: mA typed as A?", key,
                                 text(current, Dimension::current)),
                     std::string(look_again));
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
    check_usual_figures(findings);
    check_usual_relations(findings);
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
    for (const auto& [key, figure] : card.figures) {
        if (!figure.one_sided) continue;
        const auto& rule = *find_key(kind_rule(card.kind), key);
        findings.add(
            false, key,
            fmt::format("{} states one limit: {} as its nominal and {} to {} are what is "
                        "common of a type",
                        key, shown(figure.spread.nominal, rule), shown(figure.spread.lowest, rule),
                        shown(figure.spread.highest, rule)),
            "state the other limit or the typical value, where the sheet has it");
    }
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
