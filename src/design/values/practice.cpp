#include "design/values/practice.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "design/values/bounds.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"

namespace gapwright {
namespace {

using practice_limits::most_states;

// All are common practice; where the trade leaves a range, the figure is our own choice within it.
constexpr std::array<PracticeRule, practice_count> rules = {{
    {Practice::part_at_work, "part at work", "conducts in some state",
     "a part that does nothing is left out"},
    {Practice::base_drive, "base drive", "a twentieth of the collector current into the base",
     "so that the weakest specimen saturates too"},
    {Practice::base_quiet, "base at rest", "at most 0.4 V from base to emitter when shut",
     "so that it stays shut when hot"},
    {Practice::gate_drive, "gate drive", "1 V above the highest threshold when through",
     "so that the gate is open, not ajar"},
    {Practice::gate_quiet, "gate at rest", "half the lowest threshold when shut",
     "so that it stays shut"},
    {Practice::half_way, "through or shut", "the receiver is either through or shut",
     "half way it hangs on its transfer ratio and grows warm"},
    {Practice::emitter_current, "emitter current",
     "near the current at which its card states the transfer",
     "far from it the transfer is a guess"},
    {Practice::resistor_value, "resistor value", "between 47 Ω and 1 MΩ",
     "below it the wiring counts, above it leakage does"},
    {Practice::holding_resistor, "holding resistor", "at most 100 kΩ from a base, gate or input",
     "leakage and interference would lift it"},
    {Practice::dissipation, "dissipation", "at most half of what the part is rated for",
     "it lives longer and burns nobody"},
    {Practice::voltage_in_hand, "voltage in hand", "at most four fifths of what the part stands",
     "what nobody thought of comes on top"},
}};

constexpr double least_base_share = 0.05;
constexpr double base_at_rest = 0.4;  // V
constexpr double gate_margin = 1;     // V
constexpr double least_ohms = 47;
constexpr double most_ohms = 1e6;
constexpr double most_holding_ohms = 100e3;
constexpr double half_the_rating = 0.5;
constexpr double voltage_in_hand = 0.2;

double clamped(double share) {
    return std::isnan(share) ? 0 : std::clamp(share, 0.0, 1.0);
}

double most_of(std::span<const double> values) {
    double most = 0;
    for (const double v : values) most = std::max(most, std::abs(v));
    return most;
}

void keep_worse(Shortfall& worst, const Shortfall& one) {
    if (one.share > worst.share || worst.asked == 0) worst = one;
}

// Of each state in which the part is through, or shut.
template <class Miss>
Shortfall over_states(std::span<const double> main, bool through, Miss miss) {
    const double most = most_of(main);
    Shortfall worst;
    for (std::size_t s = 0; s < main.size(); ++s) {
        const bool is_through = std::abs(main[s]) >= practice_limits::through * most;
        if (is_through != through) continue;
        Shortfall one = miss(s);
        one.state = s;
        keep_worse(worst, one);
    }
    return worst;
}

Shortfall at_work(std::span<const double> main, std::span<const double> supply) {
    const double found = most_of(main);
    const double asked = practice_limits::at_work * most_of(supply);
    return {.share = found < asked ? 1.0 : 0.0, .state = 0, .found = found, .asked = asked};
}

Shortfall receiver_half_way(std::span<const double> voltage) {
    const double most = most_of(voltage);
    Shortfall worst;
    for (std::size_t s = 0; s < voltage.size(); ++s) {
        const double place = most > 0 ? std::abs(voltage[s]) / most : 0;
        const double from_end = std::min(place, 1 - place);
        keep_worse(worst, {.share = clamped((from_end - practice_limits::half_way) /
                                            (0.5 - practice_limits::half_way)),
                           .state = s,
                           .found = std::abs(voltage[s]),
                           .asked = most});
    }
    return worst;
}

Shortfall off_test_current(double found, double stated, double allowed) {
    constexpr double beyond = 2;  // octaves: there it is missed altogether
    const double octaves = found > 0 ? std::abs(std::log2(found / stated)) : allowed + beyond;
    return {.share = clamped((octaves - allowed) / beyond),
            .state = 0,
            .found = found,
            .asked = stated};
}

std::vector<std::size_t> by_state(const Link& link, const Probe& probe, Bounds& bounds) {
    std::vector<std::size_t> measures;
    for (std::size_t s = 0; s < link.states.size(); ++s) {
        measures.push_back(add_measure(s, probe, bounds));
    }
    return measures;
}

// Whether a resistor joins a base, gate or logic input to a supply or return, and nothing else.
bool holds_an_input(const Link& link, std::size_t resistor) {
    const Part& part = link.parts[resistor];
    const Side side = part.input ? Side::input : Side::output;
    const Placement& own = *part.on(side);
    const auto is_rail = [](Node node) { return node == Node::side_return || node == supply_node; };
    const auto is_held = [&](Node node) {
        return std::ranges::any_of(link.parts, [&](const Part& other) {
            const auto& placed = other.on(side);
            if (!placed) return false;
            const Kind kind = other.description.kind;
            const bool switches = kind == Kind::transistor || kind == Kind::mosfet;
            return (switches && placed->control == node) ||
                   (kind == Kind::logic_input && placed->from == node);
        });
    };
    return (is_rail(own.from) && is_held(own.to)) || (is_rail(own.to) && is_held(own.from));
}

// Whether another transistor's emitter feeds this base: a darlington, which never saturates.
bool is_fed_by_emitter(const Link& link, Side side, std::size_t part) {
    const auto& own = link.parts[part].on(side);
    return std::ranges::any_of(link.parts, [&](const Part& other) {
        const auto& placed = other.on(side);
        return placed && own && other.description.kind == Kind::transistor &&
               placed->to == own->control;
    });
}

void add_transistor(const Link& link, const PlacedProbes& probes, std::size_t part, Bounds& bounds,
                    std::vector<PracticeCheck>& checks) {
    const Description& d = link.parts[part].description;
    const auto base = probes.base_current();
    const auto control = probes.control_voltage();
    if (!control) return;
    const auto main = by_state(link, probes.current(), bounds);
    const auto add = [&](Practice practice, const Probe& probe, double figure) {
        checks.push_back({.practice = practice,
                          .part = part,
                          .measures = main,
                          .control = by_state(link, probe, bounds),
                          .figure = figure});
    };
    if (link.side(probes.side).supply) {
        checks.push_back({.practice = Practice::part_at_work,
                          .part = part,
                          .measures = main,
                          .supply = by_state(link, supply_current(probes.side), bounds)});
    }
    if (d.kind == Kind::mosfet) {
        const auto& threshold = d.at(Key::threshold).spread;
        add(Practice::gate_drive, *control, threshold.highest + gate_margin);
        add(Practice::gate_quiet, *control, threshold.lowest / 2);
        return;
    }
    if (base && !is_fed_by_emitter(link, probes.side, part)) {
        add(Practice::base_drive, *base, least_base_share);
    }
    add(Practice::base_quiet, *control, base_at_rest);
}

void add_gap(const Link& link, const LinkCircuit& circuit, std::size_t part, Bounds& bounds,
             std::vector<PracticeCheck>& checks) {
    const Description& d = link.parts[part].description;
    const auto& emitter = circuit.input[part];
    const auto& receiver = circuit.output[part];
    // A light curve is straighter than a transfer ratio: three octaves do no harm.
    constexpr double of_open_pairs = 3;
    const auto* stated =
        d.emitter ? d.emitter->find(receiver_rule(receiver_of(d)).intensity) : d.find(Key::ctr);
    if (emitter && stated && !stated->conditions.empty()) {
        checks.push_back({.practice = Practice::emitter_current,
                          .part = part,
                          .measures = by_state(link, emitter->current(), bounds),
                          .figure = stated->conditions.front(),
                          .octaves = d.emitter ? of_open_pairs : 1});
    }
    if (receiver && receiver_rule(receiver_of(d)).through_or_shut) {
        checks.push_back({.practice = Practice::half_way,
                          .part = part,
                          .measures = by_state(link, receiver->voltage(), bounds)});
    }
}

}  // namespace

const PracticeRule& practice_rule(Practice practice) {
    return *std::ranges::find(rules, practice, &PracticeRule::practice);
}

bool is_nominal(Practice practice) {
    return practice == Practice::emitter_current || practice == Practice::part_at_work;
}

std::vector<PracticeCheck> practice_checks(const Link& link, const LinkCircuit& circuit,
                                           const std::vector<std::size_t>& chosen, Bounds& bounds) {
    std::vector<PracticeCheck> checks;
    if (link.analogue || link.states.size() > most_states) return checks;
    for (std::size_t r = 0; r < chosen.size(); ++r) {
        const bool holding = holds_an_input(link, chosen[r]);
        checks.push_back(
            {.practice = holding ? Practice::holding_resistor : Practice::resistor_value,
             .part = chosen[r],
             .figure = holding ? most_holding_ohms : most_ohms,
             .chosen = r});
    }
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        if (part.is_gap()) {
            add_gap(link, circuit, k, bounds, checks);
            continue;
        }
        const Kind kind = part.description.kind;
        if (kind != Kind::transistor && kind != Kind::mosfet) continue;
        const Side side = part.input ? Side::input : Side::output;
        if (const auto& probes = circuit.of(k, side)) {
            add_transistor(link, *probes, k, bounds, checks);
        }
    }
    for (std::size_t b = 0; b < bounds.bounds.size(); ++b) {
        const Bound& bound = bounds.bounds[b];
        if (!bound.is_power && !bound.is_voltage) continue;
        checks.push_back(
            {.practice = bound.is_power ? Practice::dissipation : Practice::voltage_in_hand,
             .part = *bound.part,
             .figure = bound.is_power ? half_the_rating : voltage_in_hand,
             .bound = b});
    }
    return checks;
}

Shortfall shortfall_of(const PracticeCheck& check, std::span<const double> main,
                       std::span<const double> control, std::span<const double> supply) {
    switch (check.practice) {
        case Practice::part_at_work:
            return at_work(main, supply);
        case Practice::base_drive:
            return over_states(main, true, [&](std::size_t s) {
                const double asked = check.figure * std::abs(main[s]);
                return Shortfall{
                    .share = clamped(1 - control[s] / asked), .found = control[s], .asked = asked};
            });
        case Practice::gate_drive:
            return over_states(main, true, [&](std::size_t s) {
                return Shortfall{.share = clamped(check.figure - control[s]),
                                 .found = control[s],
                                 .asked = check.figure};
            });
        case Practice::base_quiet:
        case Practice::gate_quiet:
            return over_states(main, false, [&](std::size_t s) {
                return Shortfall{.share = clamped(2 * (control[s] / check.figure - 1)),
                                 .found = control[s],
                                 .asked = check.figure};
            });
        case Practice::half_way:
            return receiver_half_way(main);
        case Practice::emitter_current:
            return off_test_current(most_of(main), check.figure, check.octaves);
        case Practice::resistor_value:
        case Practice::holding_resistor:
        case Practice::dissipation:
        case Practice::voltage_in_hand:
            break;
    }
    return {};
}

Shortfall value_shortfall(const PracticeCheck& check, double ohms) {
    const double nearest = std::clamp(ohms, least_ohms, check.figure);
    const double decades = std::abs(std::log10(ohms / nearest));
    constexpr double at_once = 0.2;  // a value just outside counts too
    return {.share = decades > 0 ? clamped(at_once + decades) : 0,
            .state = 0,
            .found = ohms,
            .asked = nearest};
}

Shortfall reserve_shortfall(const PracticeCheck& check, double reserve) {
    return {.share = clamped((check.figure - reserve) / check.figure),
            .state = 0,
            .found = 1 - reserve,
            .asked = 1 - check.figure};
}

}  // namespace gapwright
