#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "proof/cautions/caution_notes.hpp"
#include "waveform/waveform.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>

#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright::cautioning {
namespace {

constexpr double part_way_low = 1.0;       // V across a receiver or transistor
constexpr double part_way_share = 0.8;     // of the side's supply
constexpr double part_way_current = 1e-8;  // A: less holds nothing open
constexpr double noticed_voltage = 1e-3;   // V

// The parts of a side that keep a node at a voltage when nothing is lit or driven.
bool holds(const Link& link, Node node, Side side) {
    return std::ranges::any_of(link.parts, [&](const Part& part) {
        const auto& p = part.on(side);
        if (!p || (p->from != node && p->to != node)) return false;
        switch (part.description.kind) {
            case Kind::resistor:
            case Kind::coil:
            case Kind::load:
            case Kind::inductor:
            case Kind::logic_output:
                return true;
            case Kind::capacitor:
            case Kind::contact:
            case Kind::diode:
            case Kind::led:
            case Kind::zener:
            case Kind::transistor:
            case Kind::mosfet:
            case Kind::logic_input:
            case Kind::coupler:
            case Kind::pair:
            case Kind::phototransistor:
            case Kind::light_dependent_resistor:
            case Kind::battery:
                break;
        }
        // A receiver that is no switch leads some current at any light.
        return part.is_gap() && !receiver_rule(receiver_of(part.description)).through_or_shut;
    });
}

}  // namespace

// A receiver or transistor that is neither through nor shut.
void part_way(Notes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        const Kind kind = part.description.kind;
        const bool receiver =
            part.is_gap() && receiver_rule(receiver_of(part.description)).through_or_shut;
        if (!receiver && kind != Kind::transistor && kind != Kind::mosfet) return;
        const Side side = part.output ? Side::output : Side::input;
        const auto& supply = notes.link.side(side).supply;
        if (!supply) return;
        const double full = supply->nominal(Key::voltage);
        for (std::size_t s = 0; s < notes.nominal.size(); ++s) {
            const double v = measure(notes.circuit.of(k, side)->voltage(), notes.nominal[s]);
            const double i = measure(notes.circuit.of(k, side)->current(), notes.nominal[s]);
            if (v < part_way_low || v > part_way_share * full) continue;
            if (std::abs(i) < part_way_current) continue;  // others divide the supply there
            notes.add("part-way",
                      fmt::format("In state {} {} stands part-way, {} across it: neither "
                                  "through nor shut. The load asks for more current than it "
                                  "is given, or leakage holds it open.",
                                  notes.link.states[s].name, part.name,
                                  engineering(v, Dimension::voltage)),
                      k);
        }
    });
}

void undriven(StatedNotes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        if (part.description.kind != Kind::logic_input) return;
        const Side side = part.input ? Side::input : Side::output;
        const Node node = part.on(side)->from;
        if (node == supply_node || holds(notes.link, node, side)) return;
        notes.add("no-pull-up",
                  fmt::format("Nothing pulls {} up or down: with the receiver dark the input {} "
                              "floats.",
                              notes.link.side(side).node_names[to_index(node)], part.name),
                  k);
    });
}

void gates(StatedNotes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        const Kind kind = part.description.kind;
        if (kind != Kind::mosfet && kind != Kind::transistor) return;
        const Side side = part.input ? Side::input : Side::output;
        const auto& control = part.on(side)->control;
        if (!control || holds(notes.link, *control, side)) return;
        notes.add("no-bleed",
                  fmt::format("No resistor holds the {} of {} when it is not driven: leakage "
                              "alone may turn it on.",
                              kind == Kind::mosfet ? "gate" : "base", part.name),
                  k);
    });
}

// A receiver or transistor that is only ever driven backwards.
void wrong_way_round(Notes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        const bool receiver = part.is_gap() && receiver_rule(receiver_of(part.description)).polar;
        if (!receiver && part.description.kind != Kind::transistor) return;
        const Side side = part.output ? Side::output : Side::input;
        const Probe voltage = notes.circuit.of(k, side)->voltage();
        double most = 0;
        double least = 0;
        for (const auto& point : notes.nominal) {
            most = std::max(most, measure(voltage, point));
            least = std::min(least, measure(voltage, point));
        }
        if (most > noticed_voltage || least > -noticed_voltage) return;
        notes.add("wrong-way-round",
                  fmt::format("{} has its collector and emitter the wrong way round: the voltage "
                              "along its path is negative in every state.",
                              part.name),
                  k);
    });
}

// A winding that is switched needs a way for its current when the switch opens.
void flyback(StatedNotes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        const auto* inductance = part.description.find(Key::inductance);
        const bool winding = (inductance && inductance->spread.highest > 0) ||
                             part.description.kind == Kind::inductor;
        const Side side = part.input ? Side::input : Side::output;
        if (!winding || !part.on(side) || notes.link.states.size() < 2) return;
        const Placement& p = *part.on(side);
        const bool caught = std::ranges::any_of(notes.link.parts, [&](const Part& other) {
            const Kind kind = other.description.kind;
            const auto& q = other.on(side);
            if (!q || (kind != Kind::diode && kind != Kind::zener)) return false;
            return q->from == p.from || q->from == p.to || q->to == p.from || q->to == p.to;
        });
        if (caught) return;
        notes.add("no-flyback",
                  fmt::format("Nothing takes the current of {} when its switch opens: put a "
                              "flyback diode across it.",
                              part.name),
                  k);
    });
}

// All that the winding stored goes into its own capacitance, ½LI² = ½CV².
void kick(Notes& notes) {
    notes.each_part([&](std::size_t k, const Part& part) {
        const auto* inductance = part.description.find(
            part.description.kind == Kind::inductor ? Key::value : Key::inductance);
        const Side side = part.input ? Side::input : Side::output;
        if (!inductance || !part.on(side)) return;
        const auto uncaught = uncaught_windings(notes.circuit.circuit, side,
                                                notes.circuit.nominal_values(), notes.nominal);
        const Probe current = notes.circuit.of(k, side)->current();
        const ElementIndex winding = current.ports.front().current.front().element;
        if (std::ranges::find(uncaught, winding) == uncaught.end()) return;
        double most = 0;
        for (const auto& point : notes.nominal) {
            most = std::max(most, std::abs(measure(current, point)));
        }
        const double voltage = most * std::sqrt(inductance->spread.nominal / winding_capacitance);
        notes.add("kick",
                  fmt::format("Interrupted, the {} of {} make about {}, with the {} that a winding "
                              "has of its own (common practice).",
                              engineering_short(most, Dimension::current), part.name,
                              engineering_short(voltage, Dimension::voltage, 2),
                              engineering_short(winding_capacitance, Dimension::capacitance)),
                  k);
    });
}

}  // namespace gapwright::cautioning
