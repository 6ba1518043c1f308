// The equations of one specimen made ready: its figures, sizes of its unknowns, points at rest.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <variant>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "device/charge.hpp"
#include "device/light.hpp"
#include "waveform/equations.hpp"
#include "waveform/schedule.hpp"
#include "waveform/stored.hpp"
#include "waveform/strays.hpp"
#include "waveform/waveform.hpp"

namespace gapwright::waveforms {
namespace {

constexpr double least_winding_current = 1e-9;  // A: what a winding carries less than, nobody sees

}  // namespace

Equations::Equations(const Circuit& circuit, std::span<const double> values,
                     const Conditions& conditions, const Schedule& schedule,
                     const std::vector<StatePoint>& rest, Strays strays)
    : circuit_(circuit),
      values_(values),
      conditions_(conditions),
      schedule_(schedule),
      movers_(movers_of(circuit, values, conditions, schedule)),
      pieces_(movers_.size()),
      breaks_(breaks_of(movers_, schedule)),
      light_(circuit.gaps.size(), 0.0),
      light_slope_(circuit.gaps.size(), 0.0) {
    life_ = light_left_by_gap(circuit, values, conditions, rest);
    const auto& networks = circuit.states[to_index(schedule.from)];
    prepare_side(Side::input, networks.input);
    prepare_side(Side::output, networks.output);
    for (const Side which : {Side::input, Side::output}) add_strays(which, strays, rest);
    inputs_ = input_.count;
    outputs_ = output_.count;
    output_.first = inputs_;
    size_ = inputs_ + outputs_;
    for (SideEquations* side : {&input_, &output_}) {
        side->first_store = size_;
        for (const auto& store : side->stores) size_ += static_cast<Index>(store.quantities);
    }
    first_cell_ = size_;
    size_ += static_cast<Index>(cells_.size());
    measure_sizes(rest);
    enter(0, breaks_.size() > 1 ? breaks_[1] : 1);
}

void Equations::prepare_side(Side which, const Network& network) {
    SideEquations& s = side(which);
    s.network = &network;
    s.elements =
        prepared::prepare(network, values_, conditions_, GapLight(circuit_.gaps.size(), 1.0));
    s.count = static_cast<Index>(prepared::unknown_count(network));
    Index row = static_cast<Index>(network.nodes) - 1;
    for (const auto& element : s.elements) {
        const bool source = std::holds_alternative<prepared::Source>(element);
        s.source_rows.push_back(source ? row++ : -1);
    }
    for (const auto& store : circuit_.dynamics(which).stores) {
        s.stores.push_back(prepared_store(store, values_));
    }
    // The base of a dark receiver takes seconds to come to rest, and nobody sees it.
    std::vector<bool> base(network.nodes, false);
    for (const auto& element : network.elements) {
        if (const auto* t = std::get_if<TransistorElement>(&element))
            base[to_index(t->base)] = true;
    }
    for (std::size_t n = 1; n < network.nodes; ++n) {
        if (!base[n]) s.watched_nodes.push_back(static_cast<Index>(n) - 1);
    }
    const auto value = [&](Slot slot) { return values_[to_index(slot)]; };
    for (std::size_t k = 0; k < network.elements.size(); ++k) {
        const auto* cell = std::get_if<LightResistorElement>(&network.elements[k]);
        if (!cell || !cell->response.rise_time) continue;
        cells_.push_back({k,
                          to_index(cell->lit_by),
                          {value(cell->card.resistance), value(cell->card.illuminance),
                           value(cell->card.gamma), value(cell->card.dark_resistance)},
                          {value(*cell->response.rise_time), value(*cell->response.decay_time)},
                          0});
    }
}

void Equations::add_strays(Side which, Strays wanted, const std::vector<StatePoint>& rest) {
    SideEquations& s = side(which);
    const auto add = [&](Node from, Node to, double capacitance) {
        s.stores.push_back({.store = CapacitanceStore{from, to, {}}, .capacitance = capacitance});
    };
    const bool all = wanted == Strays::all;
    const auto ringing = all ? windings_of(circuit_, which)
                             : interrupted_windings(circuit_, which, values_, schedule_, rest);
    for (const auto winding : ringing) {
        for (auto& store : s.stores) {
            const auto* own = std::get_if<InductanceStore>(&store.store);
            if (!own || own->branch != winding) continue;
            store.loss_time = std::sqrt(store.capacitance * winding_capacitance) / winding_quality;
        }
        const auto& branch = std::get<Branch>(s.network->elements[to_index(winding)]);
        add(branch.from, branch.to, winding_capacitance);
    }
    if (!ringing.empty()) strays_ = Strays::windings;
    if (!all) return;
    strays_ = Strays::all;
    for (std::size_t n = 1; n < s.network->nodes; ++n) {
        add(static_cast<Node>(n), Node::side_return, node_capacitance);
    }
}

// Voltages against a tenth of a volt, or the side's own where that is less: a junction's current
// follows its voltage exponentially, so that a share of the supply would be too coarse.
void Equations::measure_sizes(const std::vector<StatePoint>& rest) {
    sizes_ = VectorXd::Constant(size_, 1.0);
    for (const Side which : {Side::input, Side::output}) {
        SideEquations& s = side(which);
        double voltage = 1e-3;
        double current = 1e-6;
        const auto nodes = static_cast<Index>(s.network->nodes) - 1;
        for (const auto& state : rest) {
            const auto& x = state.side(which).unknowns;
            for (Index k = 0; k < s.count; ++k) {
                double& largest = k < nodes ? voltage : current;
                largest = std::max(largest, std::abs(x[static_cast<std::size_t>(k)]));
            }
        }
        s.voltage = voltage;
        for (const auto& store : s.stores) {
            const auto* winding = std::get_if<InductanceStore>(&store.store);
            if (!winding) continue;
            const Index k = s.source_rows[to_index(winding->branch)];
            double largest = least_winding_current;
            for (const auto& state : rest) {
                largest = std::max(
                    largest, std::abs(state.side(which).unknowns[static_cast<std::size_t>(k)]));
            }
            s.watched_currents.emplace_back(k, largest);
        }
        for (Index k = 0; k < s.count; ++k) {
            sizes_[s.first + k] = k < nodes ? std::min(voltage, 0.1) : 100 * current;
        }
        Index q = s.first_store;
        for (const auto& store : s.stores) {
            if (std::holds_alternative<InductanceStore>(store.store)) {
                sizes_[q++] = store.capacitance * current;
            } else if (std::holds_alternative<TransistorStore>(store.store)) {
                const auto& t = store.transistor;
                const double both = t.base_emitter_capacitance + t.base_collector_capacitance;
                sizes_[q++] = 0.1 * both + t.transit_time * current;
                sizes_[q++] = 0.1 * both + t.reverse_transit_time * current;
            } else {
                sizes_[q++] = (store.capacitance + store.junction.capacitance) * 0.1 +
                              store.junction.transit_time * current;
            }
        }
    }
    // A charge that a transistor states one part of: its other has no size of its own.
    constexpr double least_size = 1e-15;
    sizes_ = sizes_.cwiseMax(least_size);
    for (auto& cell : cells_) {
        for (const auto& state : rest) {
            cell.largest =
                std::max(cell.largest, lit_conductance(cell.card, state.light[cell.gap]));
        }
    }
    for (std::size_t c = 0; c < cells_.size(); ++c) {
        // the least that matters beside the dark resistance
        sizes_[first_cell_ + static_cast<Index>(c)] =
            1 / cells_[c].card.dark_resistance + 1e-4 / cells_[c].card.resistance;
    }
}

VectorXd Equations::at_rest(const StatePoint& point) const {
    VectorXd y = VectorXd::Zero(size_);
    y.head(inputs_) = VectorXd::Map(point.input.unknowns.data(), inputs_);
    y.segment(inputs_, outputs_) = VectorXd::Map(point.output.unknowns.data(), outputs_);
    store_by_law(y);
    for (std::size_t c = 0; c < cells_.size(); ++c) {
        y[first_cell_ + static_cast<Index>(c)] =
            lit_conductance(cells_[c].card, point.light[cells_[c].gap]);
    }
    return y;
}

void Equations::store_by_law(VectorXd& y) const {
    for (const SideEquations* s : {&input_, &output_}) {
        const VectorXd x = y.segment(s->first, s->count);
        const auto control = prepared::controls_at(s->elements, x);
        Index q = s->first_store;
        for (const auto& store : s->stores) {
            if (const auto* l = std::get_if<InductanceStore>(&store.store)) {
                y[q++] = store.capacitance * x[s->source_rows[to_index(l->branch)]];
                continue;
            }
            for (const auto& stored : stored_quantities(store, s->elements, control, x)) {
                y[q++] = stored.charge;
            }
        }
    }
}

}  // namespace gapwright::waveforms
