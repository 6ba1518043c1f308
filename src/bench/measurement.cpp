#include "bench/measurement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "board/wiring.hpp"
#include "build/wiring_of_link.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

// What a reading costs in time and trouble, in voltages against the return (own choice).
constexpr double across_cost = 1.1;  // both leads have to be held
constexpr double unpowered_cost = 1.3;
constexpr double opened_cost = 4;  // a lead opened, and joined again
constexpr double lifted_cost = 5;  // a lead unsoldered or pulled, and put back

using Measurements = std::vector<Measurement>;

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

std::string node_word(const Link& link, Side side, Node node) {
    const LinkSide& own = link.side(side);
    const std::string& name = own.node_names[to_index(node)];
    if (!own.node_is_named[to_index(node)]) return neighbours(link, side, node);
    const LinkSide& other = link.side(side == Side::input ? Side::output : Side::input);
    const bool both = name == "supply" || name == "return" || other.find_node(name).has_value();
    return both ? fmt::format("{}.{}", side_name(side), name) : name;
}

namespace {

// A gap's parts by the half that is meant.
std::string part_word(const Part& part, Side side) {
    if (!part.is_gap()) return part.name;
    return part.name + (side == Side::input ? ".emitter" : ".receiver");
}

Measurement measured(MeasurementKind kind, std::string measure, std::string_view state, Side side,
                     Node plus, Node minus, double cost) {
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

Measurement across_the_gap(MeasurementKind kind, const std::string& measure, Node input,
                           Node output) {
    return measured(kind, measure, unpowered, Side::input, input, output, unpowered_cost);
}

// All nodes of one side clipped together against all of the other, both ways round, as the build
// sheet asks before the first power; then point by point, where that found a way across.
Measurements isolations(const Link& link) {
    constexpr double by_hand = 2;  // clips are moved
    Measurements found;
    const auto whole = [&](MeasurementKind kind, const std::string& measure) -> Measurement& {
        found.push_back(across_the_gap(kind, measure, Node::side_return, Node::side_return));
        found.back().all_input = true;
        found.back().all_output = true;
        return found.back();
    };
    whole(MeasurementKind::isolation, "isolation");
    whole(MeasurementKind::isolation, "isolation reversed").reversed = true;
    if (link.meter.insulation_voltage) whole(MeasurementKind::insulation, "insulation");
    for (const Side side : {Side::input, Side::output}) {
        const bool input = side == Side::input;
        for (std::size_t n = 0; n < link.side(side).node_names.size(); ++n) {
            const auto node = static_cast<Node>(n);
            if (node == supply_node && !link.side(side).supply) continue;
            const std::string word = node_word(link, side, node);
            const std::string whose = input ? "all of the output" : "all of the input";
            found.push_back(across_the_gap(
                MeasurementKind::isolation, fmt::format("isolation {} to {}", word, whose),
                input ? node : Node::side_return, input ? Node::side_return : node));
            (input ? found.back().all_output : found.back().all_input) = true;
            found.back().cost = by_hand;
        }
    }
    return found;
}

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

// For each part of a side, the first of those in series with it in the same direction: nothing else
// meets at the nodes between, so that one current flows through all. A supply's number is behind
// those of the parts.
std::vector<std::size_t> first_in_series(const Link& link, Side side) {
    const std::size_t supply = link.parts.size();
    struct Ends {
        std::size_t part;
        Node from, to;
    };
    std::vector<Ends> ends;
    std::map<Node, std::size_t> meets;
    const auto add = [&](const Ends& e) {
        ends.push_back(e);
        ++meets[e.from];
        ++meets[e.to];
    };
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const auto& p = link.parts[k].on(side);
        if (!p) continue;
        // What a logic output gives comes from a source of its own.
        const bool driven = link.parts[k].description.kind == Kind::logic_output;
        add({k, driven ? Node::side_return : p->from, p->to});
        if (p->control) meets[*p->control] += 2;
    }
    if (link.side(side).supply) add({supply, Node::side_return, supply_node});
    std::vector<std::size_t> first(supply + 1);
    for (std::size_t k = 0; k <= supply; ++k) first[k] = k;
    for (bool changed = true; changed;) {
        changed = false;
        for (const Ends& a : ends) {
            for (const Ends& b : ends) {
                const bool in_line = a.to == b.from && a.to != Node::side_return &&
                                     meets[a.to] == 2 && a.part != b.part;
                const std::size_t least = std::min(first[a.part], first[b.part]);
                if (!in_line || (first[a.part] == least && first[b.part] == least)) continue;
                first[a.part] = first[b.part] = least;
                changed = true;
            }
        }
    }
    return first;
}

// Of the supply and of what hangs on leads, which are opened easily; of other parts where none of
// these carries the same current.
Measurements currents(const Link& link, Side side) {
    const auto series = first_in_series(link, side);
    const std::size_t supply = link.parts.size();
    Measurements found;
    std::map<std::size_t, std::size_t> measured_by;  // first in series → first of its measurements
    const auto current_word = [&](std::size_t k) {
        return k == supply ? fmt::format("{}.supply", side_name(side))
                           : part_word(link.parts[k], side);
    };
    const auto add = [&](std::size_t k, double cost) {
        const auto known = measured_by.find(series[k]);
        if (known != measured_by.end()) {
            for (std::size_t s = 0; s < link.states.size(); ++s) {
                found[known->second + s].also.push_back("current " + current_word(k));
            }
            return;
        }
        measured_by[series[k]] = found.size();
        for (const State& state : link.states) {
            found.push_back(measured(MeasurementKind::current, "current " + current_word(k),
                                     state.name, side, supply_node, supply_node, cost));
            if (k != supply) found.back().part = k;
        }
    };
    const auto hangs_on_leads = [&](const Part& part) {
        return footprint_of(part.description).body == Body::leads;
    };
    if (link.side(side).supply) add(supply, opened_cost);
    for (const bool on_leads : {true, false}) {
        for (std::size_t k = 0; k < link.parts.size(); ++k) {
            const Part& part = link.parts[k];
            const Kind kind = part.description.kind;
            const bool carries = kind != Kind::logic_input && kind != Kind::capacitor;
            if (!part.on(side) || !carries || hangs_on_leads(part) != on_leads) continue;
            add(k, on_leads ? opened_cost : lifted_cost);
        }
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
