#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <map>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/measurement_groups.hpp"
#include "board/wiring.hpp"
#include "build/wiring_of_link.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"

namespace gapwright::measuring {
namespace {

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

}  // namespace

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

}  // namespace gapwright::measuring
