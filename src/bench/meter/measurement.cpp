#include "bench/meter/measurement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bench/meter/measurement_groups.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

using namespace measuring;

void append(Measurements& all, Measurements more) {
    all.insert(all.end(), std::make_move_iterator(more.begin()),
               std::make_move_iterator(more.end()));
}

// The parts that meet there: "R1/U1".
std::string neighbours(const Link& link, Side side, Node node) {
    std::string words;
    for (const Part& part : link.parts) {
        const auto& p = part.on(side);
        if (!p || (p->from != node && p->to != node && p->control != node)) continue;
        words += (words.empty() ? "" : "/") + part.name;
    }
    return words;
}

}  // namespace

std::string measuring::part_word(const Part& part, Side side) {
    if (!part.is_gap()) return part.name;
    return part.name + (side == Side::input ? ".emitter" : ".receiver");
}

Measurement measuring::measured(MeasurementKind kind, std::string measure, std::string_view state,
                                Side side, Node plus, Node minus, double cost) {
    Measurement m;
    m.kind = kind;
    m.measure = std::move(measure);
    m.state = std::string(state);
    m.side = side;
    m.plus = plus;
    m.minus = minus;
    m.cost = cost;
    return m;
}

std::string node_word(const Link& link, Side side, Node node) {
    const LinkSide& own = link.side(side);
    const std::string& name = own.node_names[to_index(node)];
    if (!own.node_is_named[to_index(node)]) return neighbours(link, side, node);
    const LinkSide& other = link.side(side == Side::input ? Side::output : Side::input);
    const bool both = name == "supply" || name == "return" || other.find_node(name).has_value();
    return both ? fmt::format("{}.{}", side_name(side), name) : name;
}

namespace {

// In every state.
Measurements voltages(const Link& link, const std::string& measure, Side side, Node plus,
                      Node minus, double cost) {
    Measurements found;
    for (const State& state : link.states) {
        found.push_back(
            measured(MeasurementKind::voltage, measure, state.name, side, plus, minus, cost));
    }
    return found;
}

Measurements at_node(const Link& link, Side side, Node node) {
    if (node == supply_node && !link.side(side).supply) return {};
    const std::string word = node_word(link, side, node);
    Measurements found = voltages(link, "voltage at " + word, side, node, Node::side_return, 1);
    // The resistance to the return tells of what bridges it.
    found.push_back(measured(MeasurementKind::resistance, "resistance at " + word, unpowered, side,
                             node, Node::side_return, unpowered_cost));
    return found;
}

// Whether somebody measures there already, whichever way round.
bool is_known(const Measurements& known, MeasurementKind kind, Side side, Node a, Node b) {
    return std::ranges::any_of(known, [&](const Measurement& m) {
        return m.kind == kind && m.side == side &&
               ((m.plus == a && m.minus == b) || (m.plus == b && m.minus == a));
    });
}

// Both ways round: what is open and what is the wrong way round differ only so.
Measurements diode_tests(const std::string& word, Side side, Node anode, Node cathode) {
    return {measured(MeasurementKind::junction, "diode test " + word, unpowered, side, anode,
                     cathode, unpowered_cost),
            measured(MeasurementKind::junction, "diode test reversed " + word, unpowered, side,
                     cathode, anode, unpowered_cost)};
}

// Whether a diode test across its main terminals tells something: of its own junction, or of one
// that it should not show.
bool has_junction(const Part& part, Side side) {
    switch (part.description.kind) {
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
        case Kind::coupler:
        case Kind::mosfet:
            return true;
        case Kind::pair:
            return side == Side::input || receiver_rule(receiver_of(part.description)).polar;
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::coil:
        case Kind::load:
        case Kind::contact:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::transistor:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return false;
}

// With one lead lifted a part is measured by itself: what readings in circuit leave open.
Measurements alone(const Part& part, std::size_t k, const Placement& p) {
    const std::string word = part_word(part, p.side);
    Measurements found;
    const auto add = [&](MeasurementKind kind, const std::string& measure, Node plus, Node minus) {
        found.push_back(measured(kind, measure, unpowered, p.side, plus, minus, lifted_cost));
        found.back().lifted = k;
    };
    switch (part.description.kind) {
        case Kind::resistor:
        case Kind::inductor:
        case Kind::coil:
        case Kind::load:
            add(MeasurementKind::resistance, "resistance across " + word + ", lead lifted", p.from,
                p.to);
            break;
        case Kind::diode:
        case Kind::led:
        case Kind::zener:
            add(MeasurementKind::junction, "diode test " + word + ", lead lifted", p.from, p.to);
            break;
        case Kind::coupler:
        case Kind::pair:
            if (p.side == Side::input) {
                add(MeasurementKind::junction, "diode test " + word + ", lead lifted", p.from,
                    p.to);
            }
            break;
        case Kind::contact:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::capacitor:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return found;
}

// A junction beside a load shows once the load's lead is off: a diode across a coil.
Measurements without_load(const Link& link, const Part& part, const Placement& p) {
    Measurements found;
    if (!has_junction(part, p.side)) return found;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& load = link.parts[k];
        const auto& other = load.on(p.side);
        const bool beside = other && ((other->from == p.from && other->to == p.to) ||
                                      (other->from == p.to && other->to == p.from));
        const Kind kind = load.description.kind;
        if (!beside || (kind != Kind::coil && kind != Kind::load)) continue;
        found.push_back(
            measured(MeasurementKind::junction,
                     fmt::format("diode test {}, {} off", part_word(part, p.side), load.name),
                     unpowered, p.side, p.from, p.to, opened_cost));
        found.back().off = k;
    }
    return found;
}

// Of a part, what is not known already.
Measurements across(const Link& link, const Part& part, const Placement& p,
                    const Measurements& known) {
    const Kind kind = part.description.kind;
    const std::string word = part_word(part, p.side);
    const bool driven = kind == Kind::logic_output;  // stands between its supply and a node
    Measurements found;
    const bool same_way = std::ranges::any_of(known, [&](const Measurement& m) {
        return m.kind == MeasurementKind::voltage && m.side == p.side && m.plus == p.from &&
               m.minus == p.to;
    });
    if (!driven && !same_way) {
        append(found, voltages(link, "voltage across " + word, p.side, p.from, p.to, across_cost));
    }
    if (!driven && !is_known(known, MeasurementKind::resistance, p.side, p.from, p.to)) {
        found.push_back(measured(MeasurementKind::resistance, "resistance across " + word,
                                 unpowered, p.side, p.from, p.to, unpowered_cost));
    }
    if (has_junction(part, p.side)) append(found, diode_tests(word, p.side, p.from, p.to));
    append(found, without_load(link, part, p));
    if (kind == Kind::transistor && p.control) {
        const bool pnp = part.description.choice(Key::polarity, "npn") == "pnp";
        const Node emitter_node = pnp ? p.from : p.to;
        append(found, diode_tests(word + ".base", p.side, pnp ? emitter_node : *p.control,
                                  pnp ? *p.control : emitter_node));
    }
    return found;
}

// What lies between the same points goes by the names of all parts there.
void add_part_names(const Link& link, Side side, Measurements& found) {
    for (Measurement& m : found) {
        const bool ohms = m.kind == MeasurementKind::resistance;
        if (m.side != side || m.lifted || (m.kind != MeasurementKind::voltage && !ohms)) continue;
        for (const Part& part : link.parts) {
            const auto& p = part.on(side);
            if (!p || part.description.kind == Kind::logic_output) continue;
            const bool along = p->from == m.plus && p->to == m.minus;
            const bool against = p->from == m.minus && p->to == m.plus;
            if (!along && !(against && ohms)) continue;
            std::string name =
                fmt::format("{} across {}", ohms ? "resistance" : "voltage", part_word(part, side));
            if (name != m.measure) m.also.push_back(std::move(name));
        }
    }
}

}  // namespace

Dimension Measurement::dimension() const {
    switch (kind) {
        case MeasurementKind::voltage:
        case MeasurementKind::junction:
            return Dimension::voltage;
        case MeasurementKind::current:
            return Dimension::current;
        case MeasurementKind::resistance:
        case MeasurementKind::isolation:
        case MeasurementKind::insulation:
            break;
    }
    return Dimension::resistance;
}

bool crosses_gap(const Measurement& m) {
    return m.kind == MeasurementKind::isolation || m.kind == MeasurementKind::insulation;
}

bool supply_feeds_current(const Link& link, Side side) {
    if (!link.side(side).supply) return false;
    return std::ranges::any_of(link.parts, [&](const Part& part) {
        const auto& p = part.on(side);
        return p && part.description.kind != Kind::logic_output &&
               (p->from == supply_node || p->to == supply_node || p->control == supply_node);
    });
}

std::vector<Measurement> measurements_of(const Link& link) {
    Measurements found = isolations(link);
    for (const Side side : {Side::input, Side::output}) {
        for (std::size_t n = 1; n < link.side(side).node_names.size(); ++n) {
            append(found, at_node(link, side, static_cast<Node>(n)));
        }
        for (const Part& part : link.parts) {
            if (const auto& p = part.on(side)) append(found, across(link, part, *p, found));
        }
        for (std::size_t k = 0; k < link.parts.size(); ++k) {
            if (const auto& p = link.parts[k].on(side)) append(found, alone(link.parts[k], k, *p));
        }
        append(found, currents(link, side));
        add_part_names(link, side, found);
    }
    return found;
}

}  // namespace gapwright
