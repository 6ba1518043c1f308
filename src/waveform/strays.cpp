#include "waveform/strays.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <variant>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright::waveforms {
namespace {

constexpr double most_resistance = 1e6;  // Ω: beyond, milliamperes ask for kilovolts
constexpr double least_current = 1e-9;   // A: what a winding carries less than, nobody sees

// Where current can always go: from a node to those listed.
class Ways {
  public:
    explicit Ways(std::size_t nodes) : to_(nodes) {}

    void one_way(Node from, Node to) { to_[to_index(from)].push_back(to_index(to)); }
    void both_ways(Node a, Node b) {
        one_way(a, b);
        one_way(b, a);
    }
    bool lead(Node from, Node to) const {
        std::vector<bool> seen(to_.size(), false);
        std::vector<std::size_t> open{to_index(from)};
        while (!open.empty()) {
            const std::size_t at = open.back();
            open.pop_back();
            if (at == to_index(to)) return true;
            if (seen[at]) continue;
            seen[at] = true;
            open.insert(open.end(), to_[at].begin(), to_[at].end());
        }
        return false;
    }

  private:
    std::vector<std::vector<std::size_t>> to_;
};

const InductanceStore* winding_of(const Dynamics& dynamics, std::size_t element) {
    for (const auto& store : dynamics.stores) {
        const auto* winding = std::get_if<InductanceStore>(&store);
        if (winding && to_index(winding->branch) == element) return winding;
    }
    return nullptr;
}

bool always_conducts(const Circuit& circuit, Side side, std::size_t element,
                     std::span<const double> values) {
    return std::ranges::all_of(circuit.states, [&](const StateNetworks& state) {
        const auto& branch = std::get<Branch>(state.side(side).elements[element]);
        return !branch.resistance || values[to_index(*branch.resistance)] < most_resistance;
    });
}

void add_charges(const Network& network, const Dynamics& dynamics, Ways& ways) {
    for (const auto& store : dynamics.stores) {
        if (const auto* c = std::get_if<CapacitanceStore>(&store)) {
            ways.both_ways(c->from, c->to);
        } else if (const auto* j = std::get_if<JunctionStore>(&store)) {
            const auto& e = std::get<JunctionElement>(network.elements[to_index(j->junction)]);
            ways.both_ways(e.from, e.to);
        } else if (const auto* t = std::get_if<TransistorStore>(&store)) {
            const auto& e = std::get<TransistorElement>(network.elements[to_index(t->transistor)]);
            ways.both_ways(e.base, e.from);
            ways.both_ways(e.base, e.to);
        }
    }
}

Ways ways_of(const Circuit& circuit, Side side, std::span<const double> values) {
    const Network& network = circuit.states.front().side(side);
    const Dynamics& dynamics = circuit.dynamics(side);
    Ways ways(network.nodes);
    for (std::size_t k = 0; k < network.elements.size(); ++k) {
        const Element& element = network.elements[k];
        if (const auto* branch = std::get_if<Branch>(&element)) {
            if (!winding_of(dynamics, k) && always_conducts(circuit, side, k, values)) {
                ways.both_ways(branch->from, branch->to);
            }
        } else if (const auto* junction = std::get_if<JunctionElement>(&element)) {
            ways.one_way(junction->from, junction->to);
        } else if (const auto* breakdown = std::get_if<BreakdownElement>(&element)) {
            ways.one_way(breakdown->from, breakdown->to);
        }
    }
    add_charges(network, dynamics, ways);
    return ways;
}

}  // namespace

std::vector<ElementIndex> windings_of(const Circuit& circuit, Side side) {
    std::vector<ElementIndex> found;
    for (const auto& store : circuit.dynamics(side).stores) {
        if (const auto* winding = std::get_if<InductanceStore>(&store)) {
            found.push_back(winding->branch);
        }
    }
    return found;
}

std::vector<ElementIndex> interrupted_windings(const Circuit& circuit, Side side,
                                               std::span<const double> values,
                                               const Schedule& schedule,
                                               const std::vector<StatePoint>& rest) {
    auto windings = uncaught_windings(circuit, side, values, rest);
    const bool bounces = std::ranges::any_of(
        circuit.dynamics(side).passages,
        [](const Passage& passage) { return passage.kind == Passage::Kind::bounce; });
    std::erase_if(windings, [&](ElementIndex winding) {
        if (bounces && !schedule.changes.empty()) return false;
        const auto current = [&](StateIndex state) {
            return std::abs(rest[to_index(state)].side(side).currents[to_index(winding)]);
        };
        StateIndex before = schedule.from;
        return std::ranges::none_of(schedule.changes, [&](const Change& change) {
            const bool falls = current(change.to) < current(before);
            before = change.to;
            return falls;
        });
    });
    return windings;
}

}  // namespace gapwright::waveforms

namespace gapwright {

std::vector<ElementIndex> uncaught_windings(const Circuit& circuit, Side side,
                                            std::span<const double> values,
                                            const std::vector<StatePoint>& rest) {
    std::vector<ElementIndex> found;
    const auto ways = waveforms::ways_of(circuit, side, values);
    const Network& network = circuit.states.front().side(side);
    for (const auto winding : waveforms::windings_of(circuit, side)) {
        const auto& branch = std::get<Branch>(network.elements[to_index(winding)]);
        const auto current = [&](const StatePoint& point) {
            return point.side(side).currents[to_index(winding)];
        };
        const bool forward = std::ranges::any_of(rest, [&](const StatePoint& point) {
            return current(point) > waveforms::least_current;
        });
        const bool backward = std::ranges::any_of(rest, [&](const StatePoint& point) {
            return current(point) < -waveforms::least_current;
        });
        if ((forward && !ways.lead(branch.to, branch.from)) ||
            (backward && !ways.lead(branch.from, branch.to))) {
            found.push_back(winding);
        }
    }
    return found;
}

}  // namespace gapwright
