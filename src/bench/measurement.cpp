#include "bench/measurement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
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

class Collector {
  public:
    explicit Collector(const Link& link) : link_(link) {}

    std::vector<Measurement> run() {
        isolations();
        for (const Side side : {Side::input, Side::output}) {
            for (std::size_t n = 1; n < link_.side(side).node_names.size(); ++n) {
                at_node(side, static_cast<Node>(n));
            }
            for (std::size_t k = 0; k < link_.parts.size(); ++k) {
                if (const auto& placement = link_.parts[k].on(side)) across(k, *placement);
            }
            currents(side);
        }
        return std::move(found_);
    }

  private:
    bool has_supply(Side side) const { return link_.side(side).supply.has_value(); }

    // "coil", "R1/U1" for a node without a name, "input.supply" where both sides have that name.
    std::string node_word(Side side, Node node) const {
        const LinkSide& own = link_.side(side);
        const std::string& name = own.node_names[to_index(node)];
        if (!own.node_is_named[to_index(node)]) return neighbours(side, node);
        const LinkSide& other = link_.side(side == Side::input ? Side::output : Side::input);
        const bool both = name == "supply" || name == "return" || other.find_node(name).has_value();
        return both ? fmt::format("{}.{}", side_name(side), name) : name;
    }

    // The parts that meet there: "R1/U1".
    std::string neighbours(Side side, Node node) const {
        std::string words;
        for (const Part& part : link_.parts) {
            const auto& p = part.on(side);
            if (!p || (p->from != node && p->to != node && p->control != node)) continue;
            words += (words.empty() ? "" : "/") + part.name;
        }
        return words;
    }

    // A gap's parts by the half that is meant.
    std::string part_word(std::size_t k, Side side) const {
        const Part& part = link_.parts[k];
        if (!part.is_gap()) return part.name;
        return part.name + (side == Side::input ? ".emitter" : ".receiver");
    }

    void add(MeasurementKind kind, std::string measure, std::string_view state, Side side,
             Node plus, Node minus, double cost) {
        Measurement m;
        m.kind = kind;
        m.measure = std::move(measure);
        m.state = std::string(state);
        m.side = side;
        m.plus = plus;
        m.minus = minus;
        m.cost = cost;
        found_.push_back(std::move(m));
    }

    void isolations() {
        const auto add_isolation = [&](const std::string& name, Node input, Node output) {
            add(MeasurementKind::isolation, "isolation " + name, unpowered, Side::input, input,
                output, unpowered_cost);
        };
        add_isolation("return to return", Node::side_return, Node::side_return);
        const auto input = far_node(link_, Side::input);
        const auto output = far_node(link_, Side::output);
        if (!input || !output) return;
        const bool supplies = *input == supply_node && *output == supply_node;
        add_isolation(supplies ? "supply to supply"
                               : fmt::format("{} to {}", node_word(Side::input, *input),
                                             node_word(Side::output, *output)),
                      *input, *output);
    }

    void voltages(const std::string& measure, Side side, Node plus, Node minus, double cost) {
        for (const State& state : link_.states) {
            add(MeasurementKind::voltage, measure, state.name, side, plus, minus, cost);
        }
    }

    void at_node(Side side, Node node) {
        if (node == supply_node && !has_supply(side)) return;
        const std::string word = node_word(side, node);
        voltages("voltage at " + word, side, node, Node::side_return, 1);
        // The resistance to the return tells of what bridges it.
        add(MeasurementKind::resistance, "resistance at " + word, unpowered, side, node,
            Node::side_return, unpowered_cost);
    }

    // Whether somebody measures there already, whichever way round.
    bool is_known(MeasurementKind kind, Side side, Node a, Node b) const {
        return std::ranges::any_of(found_, [&](const Measurement& m) {
            return m.kind == kind && m.side == side &&
                   ((m.plus == a && m.minus == b) || (m.plus == b && m.minus == a));
        });
    }

    void across(std::size_t k, const Placement& p) {
        const Kind kind = link_.parts[k].description.kind;
        const std::string word = part_word(k, p.side);
        const bool driven = kind == Kind::logic_output;  // stands between its supply and a node
        if (!driven && !is_known(MeasurementKind::voltage, p.side, p.from, p.to)) {
            voltages("voltage across " + word, p.side, p.from, p.to, across_cost);
        }
        if (!driven && !is_known(MeasurementKind::resistance, p.side, p.from, p.to)) {
            add(MeasurementKind::resistance, "resistance across " + word, unpowered, p.side, p.from,
                p.to, unpowered_cost);
        }
        const bool emitter = link_.parts[k].is_gap() && p.side == Side::input;
        if (kind == Kind::diode || kind == Kind::led || kind == Kind::zener || emitter) {
            diode_test(word, p.side, p.from, p.to);
        }
        if (kind == Kind::transistor && p.control) {
            const bool pnp = link_.parts[k].description.choice(Key::polarity, "npn") == "pnp";
            const Node emitter_node = pnp ? p.from : p.to;
            diode_test(word + ".base", p.side, pnp ? emitter_node : *p.control,
                       pnp ? *p.control : emitter_node);
        }
    }

    // Both ways round: what is open and what is the wrong way round differ only so.
    void diode_test(const std::string& word, Side side, Node anode, Node cathode) {
        add(MeasurementKind::junction, "diode test " + word, unpowered, side, anode, cathode,
            unpowered_cost);
        add(MeasurementKind::junction, "diode test reversed " + word, unpowered, side, cathode,
            anode, unpowered_cost);
    }

    void currents(Side side) {
        const auto add_current = [&](const std::string& word, std::optional<std::size_t> part) {
            for (const State& state : link_.states) {
                add(MeasurementKind::current, "current " + word, state.name, side, supply_node,
                    supply_node, opened_cost);
                found_.back().part = part;
            }
        };
        if (has_supply(side)) add_current(fmt::format("{}.supply", side_name(side)), std::nullopt);
        for (std::size_t k = 0; k < link_.parts.size(); ++k) {
            const Part& part = link_.parts[k];
            const bool listed = part.on(side) &&
                                footprint_of(part.description).body == Body::leads &&
                                part.description.kind != Kind::logic_input;
            if (listed) add_current(part_word(k, side), k);
        }
    }

    const Link& link_;
    std::vector<Measurement> found_;
};

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
    return Collector(link).run();
}

}  // namespace gapwright
