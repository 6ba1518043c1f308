#include "card/complete.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

void add(Problems& problems, Cause cause, const Place& place, std::string message,
         std::string remedy) {
    problems.push_back({.cause = cause,
                        .place = place,
                        .message = std::move(message),
                        .remedy = std::move(remedy)});
}

bool is_stated(const Description& d, const KeyRule& key) {
    return d.find(key.key) || (key.key == Key::value && d.value_to_choose) ||
           (key.key == Key::emitter && d.emitter) || (key.key == Key::receiver && d.receiver);
}

std::string example_of(const KeyRule& key) {
    if (key.form != Form::description) {
        return fmt::format("write for example {} = {}", key.key, dimension_example(key.dimension));
    }
    return fmt::format("write for example {} = \"infrared-{}\"", key.key,
                       key.key == Key::emitter ? "led" : "receiver");
}

// Two ways of saying one thing: where one of the two is stated, the other stays away.
bool said_otherwise(const Description& d, Key key) {
    const auto states = [&](Key other) {
        const auto* figure = d.find(other);
        return figure && !figure->assumed;
    };
    return (key == Key::bandgap && states(Key::forward_slope)) ||
           (key == Key::forward_slope && states(Key::bandgap));
}

void fill_defaults(Description& d, const Place& place, Problems& problems) {
    const auto& rule = kind_rule(d.kind);
    for (const auto& key : rule.keys) {
        if (is_stated(d, key) || said_otherwise(d, key.key)) continue;
        if (key.standard) {
            const Usual& usual = *key.standard;
            d.figures[key.key] = Figure{.spread = {usual.nominal, usual.lowest, usual.highest},
                                        .conditions = {},
                                        .assumed = true,
                                        .place = place};
        } else if (key.needed) {
            add(problems, Cause::missing_key, place, fmt::format("{} needs {}", rule.name, key.key),
                example_of(key));
        }
    }
}

// Gives the card's spreads to the figures that have none of their own.
void apply_spreads(Description& d, const Place& place, Problems& problems) {
    for (const auto& [key, given] : d.spreads) {
        const auto found = d.figures.find(key);
        if (found == d.figures.end() || found->second.spread.varies()) continue;
        Spread& spread = found->second.spread;
        const double nominal = spread.nominal;
        const double half = std::abs(nominal) * given.share;
        const Spread wide = given.limits
                                ? Spread{nominal, given.limits->lowest, given.limits->highest}
                                : Spread{nominal, nominal - half, nominal + half};
        // Told where the mistake is: at the figure that this file states, or at the spread.
        const bool here = found->second.place.text == place.text;
        const Place& blame = here ? found->second.place : given.place;
        if (wide.lowest > nominal || nominal > wide.highest) {
            problems.push_back({.cause = Cause::empty_spread,
                                .place = blame,
                                .message = fmt::format("{} lies outside its card's spread", key),
                                .remedy = "state it with a spread of its own",
                                .other = given.place,
                                .other_message = "the spread stands here"});
        } else if (const auto fault = range_fault(find_key(kind_rule(d.kind), key)->range, wide);
                   !fault.empty()) {
            add(problems, Cause::out_of_range, given.place,
                fmt::format("the spread of {} {}", key, fault), "narrow the spread");
        } else {
            spread = wide;
        }
    }
    for (auto& [key, figure] : d.figures) figure.normal = d.normal;
}

void keep_below(Spread& spread, double most) {
    for (double* end : {&spread.lowest, &spread.nominal, &spread.highest})
        *end = std::min(*end, most);
}

void keep_above(Spread& spread, double least) {
    for (double* end : {&spread.lowest, &spread.nominal, &spread.highest})
        *end = std::max(*end, least);
}

// In the dark a cell has at least ten times what it has at the light it is stated at.
void fit_dark_resistance(Description& d) {
    const auto dark = d.figures.find(Key::dark_resistance);
    const auto* lit = d.find(Key::resistance);
    if (dark == d.figures.end() || !dark->second.assumed || !lit) return;
    keep_above(dark->second.spread, 10 * lit->spread.highest);
}

void check_slope(Description& d, const Place& place, Problems& problems) {
    const auto slope = d.figures.find(Key::forward_slope);
    if (slope == d.figures.end()) return;
    if (slope->second.assumed) {
        constexpr double usual = 10e-3;  // A, where nothing is stated at a current
        const auto* forward = d.find(Key::forward);
        slope->second.conditions = {forward ? forward->conditions[0] : usual};
    } else if (const auto* bandgap = d.find(Key::bandgap)) {
        // What this file states takes the place of what its card says.
        const bool slope_here = slope->second.place.text == place.text;
        const bool bandgap_here = bandgap->place.text == place.text;
        if (slope_here != bandgap_here) {
            d.figures.erase(slope_here ? Key::bandgap : Key::forward_slope);
            return;
        }
        problems.push_back({.cause = Cause::contradiction,
                            .place = slope->second.place,
                            .message = "forward_slope and bandgap say the same thing twice",
                            .remedy = "leave out the bandgap",
                            .other = bandgap->place,
                            .other_message = "bandgap stands here"});
    }
}

void check_junction(Description& d, const Place& place, Problems& problems) {
    if (!find_key(kind_rule(d.kind), Key::forward)) return;
    check_slope(d, place, problems);
    if (d.kind == Kind::zener && !d.find(Key::forward) && !d.find(Key::saturation_current)) {
        // Common practice for small silicon junctions.
        d.figures[Key::forward] = Figure{
            .spread = {0.75, 0.65, 0.9}, .conditions = {10e-3}, .assumed = true, .place = place};
    }
    const auto* forward = d.find(Key::forward);
    if (!forward) {
        if (d.find(Key::saturation_current)) return;
        add(problems, Cause::missing_key, place,
            fmt::format("{} needs a forward voltage", kind_rule(d.kind).name),
            "write for example forward = \"2 V at 20 mA\"");
        return;
    }
    Figure& assumed_series = d.figures.at(Key::series_resistance);
    if (assumed_series.assumed) {
        // A junction that carries amperes has less than the kind's usual resistance.
        keep_below(assumed_series.spread, forward->spread.lowest / forward->conditions[0] / 3);
    }
    const auto* series = d.find(Key::series_resistance);
    if (forward->spread.lowest > forward->conditions[0] * series->spread.highest) return;
    // The one that this file states: the other may stand on a card.
    const bool here = !series->assumed && series->place.text == place.text;
    add(problems, Cause::contradiction, here ? series->place : forward->place,
        "the series resistance alone drops the whole forward voltage",
        "state a smaller series_resistance or a larger forward voltage");
}

// A pair's receiver is lit in the measure in which its card states its response.
void check_intensity(const Description& d, const Place& place, Problems& problems) {
    if (d.kind != Kind::pair || !d.emitter || !d.receiver) return;
    const ReceiverRule& rule = receiver_rule(receiver_of(d));
    const Key needed = rule.intensity;
    if (d.emitter->find(needed)) return;
    add(problems, Cause::missing_key, place,
        fmt::format("the emitter's card states no {}, by which this receiver is lit", needed),
        fmt::format("add for example {} = \"{}\" to the emitter", needed, rule.intensity_example));
}

// Pairs of figures of which the first must be below the second.
constexpr std::array<std::pair<Key, Key>, 3> ordered = {
    {{Key::low_below, Key::high_above},
     {Key::drop_out, Key::pull_in},
     {Key::full_rating_to, Key::zero_rating_at}}};

void check_order(const Description& d, Problems& problems) {
    for (const auto& [lower, upper] : ordered) {
        const auto* low = d.find(lower);
        const auto* high = d.find(upper);
        if (!low || !high || low->spread.nominal < high->spread.nominal) continue;
        problems.push_back({.cause = Cause::contradiction,
                            .place = low->place,
                            .message = fmt::format("{} is not below {}", lower, upper),
                            .remedy = "check both figures",
                            .other = high->place,
                            .other_message = fmt::format("{} stands here", upper)});
    }
}

}  // namespace

void complete(Description& description, const Place& place, Problems& problems) {
    fill_defaults(description, place, problems);
    apply_spreads(description, place, problems);
    check_junction(description, place, problems);
    fit_dark_resistance(description);
    if (description.find(Key::ctr)) description.figures.erase(Key::photocurrent_ratio);
    check_intensity(description, place, problems);
    check_order(description, problems);
}

}  // namespace gapwright
