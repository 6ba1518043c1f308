#include "bench/faults/part_faults.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <functional>
#include <string>
#include <utility>
#include <vector>
#include "bench/faults/fault.hpp"
#include "bench/faults/fault_list.hpp"
#include "bench/faults/link_edits.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "units/quantity.hpp"

namespace gapwright::faults {
namespace {

using Of = FigureId::Of;
using edits::Pin;
using edits::Terminal;

// Weights against an open joint.
constexpr double open_joint = 1;
constexpr double dry_joint = 0.25;  // each cell
constexpr double mistake = 1;       // a part put in the wrong way round
constexpr double blown_open = 0.4;
constexpr double blown_short = 0.4;
constexpr double drifted = 0.12;  // each cell

// A value that is not what it should be. The decades are multiplier bands misread; between them lie
// digits misread, drift and what else the drawer held.
const std::vector<List::Cell> value_cells = {
    {0.0009, 0.0011, 0.1}, {0.009, 0.011, 0.3},  {0.09, 0.11, 0.8},    {9.0, 11.0, 0.8},
    {90, 110, 0.3},        {900, 1100, 0.1},     {0.012, 0.03, 0.05},  {0.03, 0.085, drifted},
    {0.12, 0.25, drifted}, {0.25, 0.5, drifted}, {0.5, 0.75, drifted}, {0.75, 0.92, drifted},
    {1.09, 1.3, drifted},  {1.3, 2, drifted},    {2, 4, drifted},      {4, 8.5, drifted},
    {12, 30, drifted},     {30, 85, 0.05},
};
// Another part of its kind: LEDs of other colours, diodes of other types, zeners of other voltages.
const std::vector<List::Cell> forward_cells = {{0.3, 0.55, 0.1}, {0.55, 0.8, 0.2}, {1.22, 2, 0.2}};
const std::vector<List::Cell> zener_cells = {{0.3, 0.8, 0.3}, {1.25, 4, 0.3}};
// What leaks across a receiver or transistor, Ω.
constexpr std::pair<double, double> leak_cells[] = {{300, 3e3}, {3e3, 30e3}, {30e3, 300e3}};
const std::vector<List::Cell> winding_cells = {{0.02, 0.2, drifted}, {0.2, 0.6, drifted},
                                               {0.6, 0.8, drifted},  {1.3, 2, drifted},
                                               {2, 6, drifted},      {6, 30, drifted}};
// Of the lowest that the card allows.
const std::vector<List::Cell> weak_cells = {
    {0.55, 0.9, 0.25}, {0.3, 0.55, 0.25}, {0.12, 0.3, 0.25}, {0.02, 0.12, 0.25}};
Pin pin_of(std::size_t k, Side side, Terminal terminal) {
    return {k, side, terminal};
}

struct Ends {
    Pin from, to;
};
Ends ends(std::size_t k, Side side) {
    return {pin_of(k, side, Terminal::from), pin_of(k, side, Terminal::to)};
}

Side side_of(const Part& part) {
    return part.input ? Side::input : Side::output;
}

void resistor(List& list, std::size_t k) {
    const Part& part = list.part(k);
    const auto [from, to] = ends(k, side_of(part));
    list.open_part(part.name, from, to, open_joint, blown_open);
    list.shorted(part.name + " is bridged", from, to, 0.3);
    list.figure_cells({part.name + " has another value", part.name + " reads as", k, Of::part,
                       Key::value, part.description.nominal(Key::value)},
                      value_cells);
}

void winding(List& list, std::size_t k) {
    const Part& part = list.part(k);
    const auto [from, to] = ends(k, side_of(part));
    list.open_part(part.name, from, to, open_joint, blown_open);
    list.shorted(part.name + " is bridged", from, to, blown_short);
    list.figure_cells({part.name + " has another resistance", part.name + " reads as", k, Of::part,
                       Key::resistance, part.description.nominal(Key::resistance)},
                      winding_cells);
}

// A junction part, or a gap's emitter.
void junction(List& list, std::size_t k, Side side, const std::string& name) {
    const auto [from, to] = ends(k, side);
    list.open_part(name, from, to, open_joint, blown_open);
    list.shorted(name + " is shorted", from, to, blown_short);
    list.dead_by_itself(k);
    // A packaged coupler's emitter is turned only by crossed wires.
    const bool packaged = list.part(k).description.kind == Kind::coupler;
    list.exchanged(name + " is the wrong way round", from, to, packaged ? 0.3 : mistake);
    list.dry_pin(name, from, dry_joint);
}

// A diode, LED or zener that is another one than it should be.
void another_of_its_kind(List& list, std::size_t k) {
    const Part& part = list.part(k);
    const Description& d = part.description;
    if (d.kind == Kind::zener) {
        list.figure_cells({part.name + " has another voltage", part.name + " breaks down at", k,
                           Of::part, Key::zener_voltage, d.nominal(Key::zener_voltage)},
                          zener_cells);
    }
    if (d.kind == Kind::zener || !d.find(Key::forward)) return;
    list.figure_cells(
        {part.name + (d.kind == Kind::led ? " is of another colour" : " is of another type"),
         part.name + " drops", k, Of::part, Key::forward, d.nominal(Key::forward)},
        forward_cells);
}

// A contact or logic output that is the same in all states.
void stays(List& list, std::size_t k, Setting setting) {
    constexpr double stuck = 0.5;
    list.add(fmt::format("{} stays {}", list.part(k).name, setting_word(setting)), stuck, {k},
             [k, setting](Link& link) {
                 for (State& state : link.states) state.settings[k] = setting;
             });
}

void contact(List& list, std::size_t k) {
    const Part& part = list.part(k);
    const auto [from, to] = ends(k, side_of(part));
    stays(list, k, Setting::open);
    list.loose_pin(part.name);
    stays(list, k, Setting::closed);
    list.dry_pin(part.name, from, dry_joint);
}

void logic_output(List& list, std::size_t k) {
    const Part& part = list.part(k);
    const Pin out = pin_of(k, side_of(part), Terminal::to);
    const std::size_t first = list.count();
    stays(list, k, Setting::high);
    stays(list, k, Setting::low);
    list.open_pin(part.name, out, open_joint);
    list.loose_pin(part.name);
    list.dry_pin(part.name, out, dry_joint);
    list.show_at(first, {out.side, edits::node_of(list.link(), out)});
}

void logic_input(List& list, std::size_t k) {
    const Part& part = list.part(k);
    const Side side = side_of(part);
    const auto [from, to] = ends(k, side);
    list.shorted(part.name + " is shorted", from, to, blown_short);
    constexpr std::pair<double, double> leaks[] = {{200, 2e3}, {2e3, 20e3}};
    // In itself, so that it goes when it is taken off with the power, or at its socket.
    for (const bool in_itself : {true, false}) {
        for (const auto& [low, high] : leaks) {
            Fault& fault =
                list.add(part.name + " draws current", 0.1, {k}, [k, side, low, high](Link& link) {
                    const Placement p = edits::placement(link, k, side);
                    edits::bridge(link, side, p.from, p.to, {0.5 * (low + high), low, high});
                });
            fault.only_powered = in_itself;
        }
    }
}

// What a transistor of any kind can have, with the names of its pins: the one that current enters
// in normal conduction, the one where it leaves, and the one that controls it.
struct ThreePins {
    const char* upper;
    const char* lower;
    const char* control;
};
void three_pins(List& list, std::size_t k, bool turned, const ThreePins& names) {
    const std::string& name = list.part(k).name;
    const Side side = side_of(list.part(k));
    const Pin upper = pin_of(k, side, turned ? Terminal::to : Terminal::from);
    const Pin lower = pin_of(k, side, turned ? Terminal::from : Terminal::to);
    const Pin control = pin_of(k, side, Terminal::control);
    const auto lead = [&](const char* pin) { return name + "." + pin; };
    list.open_pin(lead(names.upper), upper, open_joint);
    list.loose_pin(lead(names.upper));
    list.open_pin(lead(names.lower), lower, open_joint);
    list.loose_pin(lead(names.lower));
    list.open_pin(lead(names.control), control, open_joint);
    list.loose_pin(lead(names.control));
    list.dry_pin(lead(names.upper), upper, dry_joint);
    list.dry_pin(lead(names.lower), lower, dry_joint);
    const auto shorted = [&](const char* a, const char* b) {
        return fmt::format("{} is shorted from {} to {}", name, a, b);
    };
    const auto exchanged = [&](const char* a, const char* b) {
        return fmt::format("{} has {} and {} exchanged", name, a, b);
    };
    list.shorted(shorted(names.upper, names.lower), upper, lower, blown_short);
    list.shorted(shorted(names.control, names.lower), control, lower, blown_short);
    list.shorted(shorted(names.control, names.upper), control, upper, blown_short);
    list.exchanged(exchanged(names.control, names.upper), control, upper, 0.5);
    list.exchanged(exchanged(names.control, names.lower), control, lower, 0.5);
}

// What a receiver or transistor lets through that it should not.
void leaks(List& list, std::size_t k, const std::string& name, const Pin& from, const Pin& to) {
    for (const auto& [low, high] : leak_cells) {
        const Spread resistance = {std::sqrt(low * high), low, high};
        list.add(name + " leaks", 0.1, {k}, [from, to, resistance](Link& link) {
            edits::bridge(link, from.side, edits::node_at(link, from), edits::node_at(link, to),
                          resistance);
        });
    }
}

// Another part in its place, pin for pin: of the other polarity, or controlled by a voltage.
void another_transistor(List& list, std::size_t k, const std::string& what, const std::string& card,
                        bool turned) {
    const Side side = side_of(list.part(k));
    list.add(fmt::format("{} is {}", list.part(k).name, what), 0.3, {k},
             [k, side, turned, own = edits::shipped_description(card)](Link& link) {
                 link.parts[k].description = *own;
                 Placement& p = edits::placement(link, k, side);
                 if (turned) std::swap(p.from, p.to);
             });
}

void transistor(List& list, std::size_t k) {
    const Part& part = list.part(k);
    const bool pnp = part.description.choice(Key::polarity, "npn") == "pnp";
    three_pins(list, k, pnp, {"collector", "emitter", "base"});
    const auto [from, to] = ends(k, side_of(part));
    list.exchanged(part.name + " has collector and emitter exchanged", from, to, mistake);
    list.dry_pin(part.name + ".base", pin_of(k, side_of(part), Terminal::control), dry_joint);
    list.figure_cells({part.name + " has little gain", part.name + " has a gain of", k, Of::part,
                       Key::gain, part.description.at(Key::gain).spread.lowest},
                      {{0.02, 0.15, 0.1}});
    leaks(list, k, part.name, from, to);
    another_transistor(list, k, pnp ? "an npn" : "a pnp", pnp ? "npn-small" : "pnp-small", true);
    if (!pnp) another_transistor(list, k, "a MOSFET", "n-mosfet-logic", false);
}

void mosfet(List& list, std::size_t k) {
    const Part& part = list.part(k);
    const bool p_channel = part.description.choice(Key::channel, "n") == "p";
    three_pins(list, k, p_channel, {"drain", "source", "gate"});
    const Side side = side_of(part);
    const auto [from, to] = ends(k, side);
    list.exchanged(part.name + " has drain and source exchanged", from, to, mistake);
    leaks(list, k, part.name, from, to);
    // A gate that nothing holds may sit anywhere.
    const Pin gate = pin_of(k, side, Terminal::control);
    list.add(part.name + ".gate is open", 0.5, {k}, [k, side, gate](Link& link) {
        edits::put_in_series(link, gate, edits::open_joint);
        edits::bridge(link, side, edits::placement(link, k, side).control.value(), supply_node,
                      edits::open_joint);
    });
    if (p_channel) return;
    another_transistor(list, k, "an npn transistor", "npn-small", false);
}

void receiver(List& list, std::size_t k, const std::string& name) {
    const ReceiverRule& rule = receiver_rule(receiver_of(list.part(k).description));
    const auto [from, to] = ends(k, Side::output);
    list.open_part(name, from, to, open_joint, blown_open);
    list.shorted(name + " is shorted", from, to, blown_short);
    list.dry_pin(name, from, dry_joint);
    leaks(list, k, name, from, to);
    if (rule.polar) {
        list.exchanged(fmt::format("{} has {} and {} exchanged", name, rule.enters, rule.leaves),
                       from, to, mistake);
    }
    if (!list.part(k).output->control) return;
    const Pin base = pin_of(k, Side::output, Terminal::control);
    list.open_pin(name + ".base", base, open_joint);
    list.loose_pin(name + ".base");
    list.dry_pin(name + ".base", base, dry_joint);
    list.shorted(name + " is shorted from base to emitter", base, to, blown_short);
    list.shorted(name + " is shorted from base to collector", base, from, blown_short);
}

void coupler(List& list, std::size_t k) {
    const Part& part = list.part(k);
    junction(list, k, Side::input, part.name + ".emitter");
    receiver(list, k, part.name + ".receiver");
    // Turned by half a turn, emitter and receiver stand on the wrong sides, both reversed: within
    // their reverse ratings neither conducts. Where the base was led, the unused pin now stands.
    list.add(part.name + " is turned round", mistake, {k}, [k](Link& link) {
        for (const Side side : {Side::input, Side::output}) {
            edits::put_in_series(link, {k, side, Terminal::from}, exactly(edits::no_connection));
        }
        if (!link.parts[k].output->control) return;
        edits::put_in_series(link, {k, Side::output, Terminal::control},
                             exactly(edits::no_connection));
    });
    list.figure_cells(
        {part.name + " is weak", part.name + " transfers", k, Of::part, Key::photocurrent_ratio,
         part.description.at(Key::photocurrent_ratio).spread.lowest},
        weak_cells);
}

void pair(List& list, std::size_t k) {
    const Part& part = list.part(k);
    junction(list, k, Side::input, part.name + ".emitter");
    receiver(list, k, part.name + ".receiver");
    const Key intensity = receiver_rule(receiver_of(part.description)).intensity;
    list.figure_cells(
        {part.name + ".emitter gives little light, or is out of line", part.name + ".emitter gives",
         k, Of::emitter, intensity, part.description.emitter->find(intensity)->spread.lowest},
        weak_cells);
    // A visible one for infrared, or the reverse: it drops another voltage, and the receiver sees
    // next to nothing of it.
    if (part.description.emitter->find(Key::forward)) {
        const double forward = part.description.emitter->nominal(Key::forward);
        const double light = part.description.emitter->nominal(intensity);
        for (const auto& [low, high] : {std::pair{1.3, 2.8}, {0.4, 0.8}}) {
            list.add(part.name + ".emitter is of another kind", 0.25, {k},
                     [k, intensity, volts = edits::times(forward, low, high), light](Link& link) {
                         Description& own = edits::description(link, k, Of::emitter);
                         edits::set_figure(own, Key::forward, volts);
                         edits::set_figure(own, intensity, {0.01 * light, 0, 0.05 * light});
                     });
        }
    }
    constexpr std::pair<double, double> exposed[] = {{300, 2000}, {2000, 20000}};
    for (const auto& [low, high] : exposed) {
        list.add("stray light reaches " + part.name, 0.4, {k}, [k, low, high](Link& link) {
            link.surroundings.light = {0.5 * (low + high), low, high};
            edits::set_figure(edits::description(link, k), Key::shroud, {0.1, 0, 0.3});
        });
    }
}

}  // namespace

void add_part_faults(List& list, std::size_t k) {
    const Part& part = list.part(k);
    switch (part.description.kind) {
        case Kind::resistor:
            return resistor(list, k);
        case Kind::coil:
        case Kind::load:
        case Kind::inductor:
            return winding(list, k);
        case Kind::contact:
            return contact(list, k);
        case Kind::logic_output:
            return logic_output(list, k);
        case Kind::logic_input:
            return logic_input(list, k);
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
            junction(list, k, side_of(part), part.name);
            return another_of_its_kind(list, k);
        case Kind::transistor:
            if (part.description.find(Key::gain)) transistor(list, k);
            return;
        case Kind::mosfet:
            return mosfet(list, k);
        case Kind::coupler:
            return coupler(list, k);
        case Kind::pair:
            return pair(list, k);
        case Kind::capacitor: {
            // One that is open shows in no reading at rest.
            const auto [from, to] = ends(k, side_of(part));
            return list.shorted(part.name + " is shorted", from, to, blown_short);
        }
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            return;
    }
}

}  // namespace gapwright::faults
