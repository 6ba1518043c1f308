#include "bench/measurement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "board/wiring.hpp"
#include "build/wiring_of_link.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

// What a reading costs in time and trouble, in voltages against the return (own choice).
constexpr double across_cost = 1.1;  // both leads have to be held
constexpr double unpowered_cost = 1.3;
constexpr double opened_cost = 4;  // a lead opened, and joined again

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

// "coil", "R1/U1" for a node without a name, "input.supply" where both sides have that name.
std::string node_word(const Link& link, Side side, Node node) {
    const LinkSide& own = link.side(side);
    const std::string& name = own.node_names[to_index(node)];
    if (!own.node_is_named[to_index(node)]) return neighbours(link, side, node);
    const LinkSide& other = link.side(side == Side::input ? Side::output : Side::input);
    const bool both = name == "supply" || name == "return" || other.find_node(name).has_value();
    return both ? fmt::format("{}.{}", side_name(side), name) : name;
}

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

Measurements isolations(const Link& link) {
    const auto isolation = [](const std::string& name, Node input, Node output) {
        return measured(MeasurementKind::isolation, "isolation " + name, unpowered, Side::input,
                        input, output, unpowered_cost);
    };
    Measurements found = {isolation("return to return", Node::side_return, Node::side_return)};
    const auto input = far_node(link, Side::input);
    const auto output = far_node(link, Side::output);
    if (!input || !output) return found;
    const bool supplies = *input == supply_node && *output == supply_node;
    found.push_back(isolation(supplies
                                  ? "supply to supply"
                                  : fmt::format("{} to {}", node_word(link, Side::input, *input),
                                                node_word(link, Side::output, *output)),
                              *input, *output));
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

// Of a part, what is not known already.
Measurements across(const Link& link, const Part& part, const Placement& p,
                    const Measurements& known) {
    const Kind kind = part.description.kind;
    const std::string word = part_word(part, p.side);
    const bool driven = kind == Kind::logic_output;  // stands between its supply and a node
    Measurements found;
    if (!driven && !is_known(known, MeasurementKind::voltage, p.side, p.from, p.to)) {
        append(found, voltages(link, "voltage across " + word, p.side, p.from, p.to, across_cost));
    }
    if (!driven && !is_known(known, MeasurementKind::resistance, p.side, p.from, p.to)) {
        found.push_back(measured(MeasurementKind::resistance, "resistance across " + word,
                                 unpowered, p.side, p.from, p.to, unpowered_cost));
    }
    const bool emitter = part.is_gap() && p.side == Side::input;
    if (kind == Kind::diode || kind == Kind::led || kind == Kind::zener || emitter) {
        append(found, diode_tests(word, p.side, p.from, p.to));
    }
    if (kind == Kind::transistor && p.control) {
        const bool pnp = part.description.choice(Key::polarity, "npn") == "pnp";
        const Node emitter_node = pnp ? p.from : p.to;
        append(found, diode_tests(word + ".base", p.side, pnp ? emitter_node : *p.control,
                                  pnp ? *p.control : emitter_node));
    }
    return found;
}

Measurements currents(const Link& link, Side side) {
    Measurements found;
    const auto add = [&](const std::string& word, std::optional<std::size_t> part) {
        for (const State& state : link.states) {
            found.push_back(measured(MeasurementKind::current, "current " + word, state.name, side,
                                     supply_node, supply_node, opened_cost));
            found.back().part = part;
        }
    };
    if (link.side(side).supply) add(fmt::format("{}.supply", side_name(side)), std::nullopt);
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        const bool listed = part.on(side) && footprint_of(part.description).body == Body::leads &&
                            part.description.kind != Kind::logic_input;
        if (listed) add(part_word(part, side), k);
    }
    return found;
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
            break;
    }
    return Dimension::resistance;
}

bool supply_feeds_current(const Link& link, Side side) {
    if (!link.side(side).supply) return false;
    return std::ranges::any_of(link.parts, [&](const Part& part) {
        const auto& p = part.on(side);
        return p && part.description.kind != Kind::logic_output &&
               (p->from == supply_node || p->to == supply_node || p->control == supply_node);
    });
}

std::optional<Node> far_node(const Link& link, Side side) {
    if (supply_feeds_current(link, side)) return supply_node;
    for (const Part& part : link.parts) {
        const auto& p = part.on(side);
        if (p && part.description.kind == Kind::logic_output) return p->to;
    }
    return std::nullopt;
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
        append(found, currents(link, side));
    }
    return found;
}

}  // namespace gapwright
