#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "bench/faults/fault.hpp"
#include "bench/faults/fault_list.hpp"
#include "bench/faults/link_edits.hpp"
#include "bench/faults/model_doubt.hpp"
#include "bench/faults/part_faults.hpp"
#include "bench/meter/measurement.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

using faults::List;

// Sets the voltage of a side's supply, and with it what logic outputs of that side call high.
void set_supply(Link& link, Side side, const Spread& voltage) {
    Description& supply = *link.side(side).supply;
    const Spread before = supply.at(Key::voltage).spread;
    edits::set_figure(supply, Key::voltage, voltage);
    for (Part& part : link.parts) {
        if (part.description.kind != Kind::logic_output || !part.on(side)) continue;
        const Spread high = part.description.at(Key::high).spread;
        const auto moved = [&](double level, double volts) {
            return std::max(0.0, level * volts / before.nominal);
        };
        edits::set_figure(part.description, Key::high,
                          {moved(high.nominal, voltage.nominal), moved(high.lowest, voltage.lowest),
                           moved(high.highest, voltage.highest)});
    }
}

// Supplies: another one, one that is missing, the wrong way round, or a tired battery.
void add_supply_faults(List& list, Side side) {
    const auto& supply = list.link().side(side).supply;
    if (!supply) return;
    const std::string name = fmt::format("the {} supply", side_name(side));
    const double nominal = supply->nominal(Key::voltage);
    const auto voltage = [&](const std::string& words, double weight, const Spread& spread) {
        Fault& fault = list.add(name + words, weight, {},
                                [side, spread](Link& link) { set_supply(link, side, spread); });
        fault.figure = FaultFigure{.figure = supply_figure(side, Key::voltage),
                                   .words = name + " gives",
                                   .nominal = nominal,
                                   .dimension = Dimension::voltage,
                                   .as_share = false};
    };
    const Spread& stated = supply->at(Key::voltage).spread;
    list.add(name + " is missing", 0.8, {},
             [side, nominal](Link& link) { set_supply(link, side, {0, 0, 0.01 * nominal}); });
    voltage(" is the wrong way round", 0.4, {-nominal, -stated.highest, -stated.lowest});
    for (const auto& [low, high] : {std::pair{0.1, 0.35}, {0.35, 0.6}, {0.6, 0.85}}) {
        const double most = std::min(high * nominal, 0.95 * stated.lowest);
        voltage(" is too low", 0.25, {0.5 * (low * nominal + most), low * nominal, most});
    }
    for (const auto& [low, high] : {std::pair{1.15, 1.6}, {1.6, 2.5}, {2.5, 4.0}}) {
        const double least = std::max(low * nominal, 1.05 * stated.highest);
        const double most = std::max(high * nominal, 1.2 * stated.highest);
        voltage(" is too high", 0.15, {0.5 * (least + most), least, most});
    }
    if (!supply_feeds_current(list.link(), side)) return;
    const bool battery = supply->find(Key::resistance) && supply->nominal(Key::resistance) > 0;
    constexpr std::pair<double, double> joints[] = {{30, 200}, {200, 2e3}, {2e3, 20e3}};
    for (const auto& [low, high] : joints) {
        const Spread resistance{0.5 * (low + high), low, high};
        const std::string words =
            battery ? " is tired, or has a bad joint" : " has a bad joint in its lead";
        Fault& fault = list.add(name + words, 0.25, {}, [side, resistance](Link& link) {
            edits::put_behind_supply(link, side, resistance);
        });
        fault.figure = FaultFigure{.figure = supply_figure(side, Key::resistance),
                                   .words = name + words + ", of",
                                   .nominal = 0,
                                   .dimension = Dimension::resistance,
                                   .as_share = false};
    }
}

// Whether two parts could be taken for one another when they are put in.
bool look_alike(Kind a, Kind b) {
    const auto resistive = [](Kind k) { return k == Kind::resistor; };
    const auto junction = [](Kind k) { return k == Kind::diode || k == Kind::zener; };
    return (resistive(a) && resistive(b)) || (junction(a) && junction(b)) ||
           (a == Kind::led && b == Kind::led);
}

void add_swaps(List& list) {
    const auto& parts = list.link().parts;
    for (std::size_t a = 0; a < parts.size(); ++a) {
        for (std::size_t b = a + 1; b < parts.size(); ++b) {
            if (edits::is_body_diode(parts[a]) || edits::is_body_diode(parts[b])) continue;
            const Description& first = parts[a].description;
            const Description& second = parts[b].description;
            if (!look_alike(first.kind, second.kind)) continue;
            const bool same = first.kind == Kind::resistor
                                  ? first.nominal(Key::value) == second.nominal(Key::value)
                                  : !first.card.empty() && first.card == second.card;
            if (same) continue;
            list.add(fmt::format("{} and {} are exchanged", parts[a].name, parts[b].name), 0.6,
                     {a, b}, [a, b](Link& link) {
                         std::swap(link.parts[a].description, link.parts[b].description);
                     });
        }
    }
}

// Solder between two points of one side that no part lies between.
void add_joined_nodes(List& list, Side side) {
    constexpr std::size_t most = 9;  // nodes; of more, those that a plan makes neighbours
    const Link& link = list.link();
    const std::size_t count = link.side(side).node_names.size();
    if (count > most) return;
    const auto part_between = [&](Node a, Node b) {
        return std::ranges::any_of(link.parts, [&](const Part& part) {
            const auto& p = part.on(side);
            if (part.description.kind == Kind::logic_output) return false;  // its end is elsewhere
            return p && ((p->from == a && p->to == b) || (p->from == b && p->to == a));
        });
    };
    for (std::size_t a = 0; a < count; ++a) {
        for (std::size_t b = a + 1; b < count; ++b) {
            const auto first = static_cast<Node>(a);
            const auto second = static_cast<Node>(b);
            const bool no_supply = !link.side(side).supply;
            if ((no_supply && (first == supply_node || second == supply_node)) ||
                part_between(first, second)) {
                continue;
            }
            list.add(fmt::format("{} and {} are joined", node_word(link, side, first),
                                 node_word(link, side, second)),
                     0.15, {}, [side, first, second](Link& faulty) {
                         edits::bridge(faulty, side, first, second, edits::short_circuit);
                     });
        }
    }
}

void add_meter_faults(List& list) {
    list.add("the meter's fuse for currents is blown", 0.05, {}, {}).meter = MeterFault::no_current;
    list.add("the meter's lead is broken, or in the socket for currents", 0.1, {}, {}).meter =
        MeterFault::no_voltage;
}

}  // namespace

std::vector<Fault> fault_table(const Link& link) {
    List list(link);
    list.add("", 0, {}, {});
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        if (!edits::is_body_diode(link.parts[k])) faults::add_part_faults(list, k);
    }
    for (const Side side : {Side::input, Side::output}) {
        add_supply_faults(list, side);
        add_joined_nodes(list, side);
    }
    add_swaps(list);
    add_meter_faults(list);
    return list.take();
}

Fault both(const Fault& a, const Fault& b) {
    Fault fault{.suspect = a.suspect + ", and " + b.suspect,
                .weight = a.weight * b.weight,
                .edit = {},
                .bridge = a.bridge ? a.bridge : b.bridge,
                .figure = {},
                .parts = a.parts};
    fault.parts.insert(fault.parts.end(), b.parts.begin(), b.parts.end());
    fault.edit = [first = a.edit, second = b.edit](Link& link) {
        if (first) first(link);
        if (second) second(link);
    };
    return fault;
}

Link prepared_for_faults(const Link& link, const LinkCircuit& circuit) {
    Link prepared = with_photocurrent_ratios(link, circuit);
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        if (link.parts[k].description.kind == Kind::mosfet) edits::add_body_diode(prepared, k);
    }
    return with_model_doubt(std::move(prepared));
}

Link with_photocurrent_ratios(Link result, const LinkCircuit& circuit) {
    for (std::size_t k = 0; k < result.parts.size(); ++k) {
        Description& d = result.parts[k].description;
        const auto slot = circuit.find(figure_of(k, Key::photocurrent_ratio));
        if (!d.find(Key::ctr) || !slot) continue;
        Figure ratio = d.at(Key::ctr);
        ratio.spread = circuit.parameters[to_index(*slot)].spread;
        ratio.conditions.clear();
        d.figures.erase(Key::ctr);
        d.figures[Key::photocurrent_ratio] = ratio;
    }
    return result;
}

}  // namespace gapwright
