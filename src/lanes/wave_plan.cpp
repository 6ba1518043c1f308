#include "lanes/wave_plan.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/prepared.hpp"
#include "circuit/probe.hpp"
#include "device/charge.hpp"
#include "device/dual.hpp"
#include "device/figures.hpp"
#include "lanes/elimination.hpp"
#include "lanes/plan.hpp"
#include "lanes/plan_parts.hpp"

namespace gapwright {
namespace {

using Dual1 = Dual<double, 1>;
using Dual2 = Dual<double, 2>;

// The number of the branch or device that an element is.
std::size_t place_of(const Network& network, ElementIndex element, bool leak) {
    std::size_t branches = 0;
    std::size_t devices = 0;
    for (std::size_t k = 0; k < to_index(element); ++k) {
        const auto& e = network.elements[k];
        const bool branch =
            std::holds_alternative<Branch>(e) || std::holds_alternative<LightResistorElement>(e);
        ++(branch ? branches : devices);
    }
    return leak ? devices : branches;
}

class WaveSidePlanner {
  public:
    WaveSidePlanner(const Circuit& circuit, Side side, const LaneWaveRequest& request,
                    std::span<const double> values, const Conditions& conditions)
        : circuit_(circuit),
          side_(side),
          request_(request),
          values_(values),
          conditions_(conditions),
          network_(circuit.states[request.from].side(side)) {
        plan_.network = &network_;
        plan_.nodes = network_.nodes;
        plan_.devices = devices_of(network_);
    }

    std::optional<WaveSidePlan> run(const StatePoint& point) {
        plan_.branches = add_branches(network_, pattern_);
        for (const auto& branch : plan_.branches) {
            pattern_.at(branch.row, branch.row)->has_figure = true;  // a mover's, a winding's
        }
        for (const auto& device : plan_.devices) add_device(device, pattern_);
        add_stores();
        add_strays();
        add_surges();
        watch_nodes();
        sample(point);
        const std::size_t unknowns = prepared::unknown_count(network_);
        auto elimination = plan_elimination(unknowns, pattern_.entries());
        if (!elimination) return std::nullopt;
        plan_.elimination = std::move(*elimination);
        for (auto& branch : plan_.branches) {
            branch.resistance_entry = entry_at(plan_.elimination, branch.row, branch.row);
        }
        for (auto& device : plan_.devices) place_entries(plan_.elimination, device);
        for (auto& c : plan_.capacitances) place(c);
        return std::move(plan_);
    }

  private:
    void add_capacitance(IndexPair nodes, std::optional<Slot> slot, double fixed) {
        plan_.capacitances.push_back({.nodes = nodes, .slot = slot, .fixed = fixed});
        for (const Index16 row : {nodes.plus, nodes.minus}) {
            for (const Index16 column : {nodes.plus, nodes.minus}) {
                if (auto* e = pattern_.at(row, column)) e->has_figure = true;
            }
        }
    }

    void place(CapacitancePlan& c) const {
        const auto at = [&](Index16 row, Index16 column) {
            return row == 0 || column == 0 ? nowhere : entry_at(plan_.elimination, row, column);
        };
        c.added = {at(c.nodes.plus, c.nodes.plus), at(c.nodes.minus, c.nodes.minus)};
        c.taken = {at(c.nodes.plus, c.nodes.minus), at(c.nodes.minus, c.nodes.plus)};
    }

    std::size_t device_at(ElementIndex element) const { return place_of(network_, element, true); }

    void add_stores() {
        for (const auto& store : circuit_.dynamics(side_).stores) {
            if (const auto* c = std::get_if<CapacitanceStore>(&store)) {
                add_capacitance({index_of(c->from), index_of(c->to)}, c->capacitance, 0);
            } else if (const auto* j = std::get_if<JunctionStore>(&store)) {
                plan_.device_charges.push_back(
                    {.device = device_at(j->junction), .junction = j->charge});
            } else if (const auto* t = std::get_if<TransistorStore>(&store)) {
                plan_.device_charges.push_back(
                    {.device = device_at(t->transistor), .transistor = t->charge, .charges = 2});
            } else {
                const auto& w = std::get<InductanceStore>(store);
                const auto mark = std::pair(side_, w.branch);
                const bool rings =
                    std::ranges::find(request_.ringing, mark) != request_.ringing.end();
                plan_.windings.push_back({.branch = place_of(network_, w.branch, false),
                                          .inductance = w.inductance,
                                          .rings = rings ? request_.winding_capacitance : 0});
            }
        }
        std::ranges::sort(plan_.device_charges, {}, &DeviceChargePlan::device);
        std::size_t branch = 0;
        for (const auto& element : network_.elements) {
            const auto* cell = std::get_if<LightResistorElement>(&element);
            if (cell && cell->response.rise_time) plan_.cells.push_back({branch});
            if (cell || std::holds_alternative<Branch>(element)) ++branch;
        }
    }

    void add_strays() {
        for (const auto& [side, element] : request_.ringing) {
            if (side != side_) continue;
            const auto& b = std::get<Branch>(network_.elements[to_index(element)]);
            add_capacitance({index_of(b.from), index_of(b.to)}, {}, request_.winding_capacitance);
        }
        if (request_.node_capacitance == 0) return;
        for (std::size_t n = 1; n < network_.nodes; ++n) {
            add_capacitance({static_cast<Index16>(n), 0}, {}, request_.node_capacitance);
        }
    }

    // I = C·dv/dt leaves the emitter's cathode and arrives at the receiver.
    void add_surges() {
        using Share = SurgePlan::Share;
        for (std::size_t g = 0; g < circuit_.gaps.size(); ++g) {
            if (!circuit_.gaps[g].capacitance) continue;
            if (side_ == Side::input) {
                const auto& e = std::get<JunctionElement>(
                    network_.elements[to_index(circuit_.gaps[g].emitter)]);
                plan_.surges.push_back({index_of(e.to), g, Share::all, -1});
                continue;
            }
            for (const auto& element : network_.elements) {
                if (const auto* p = std::get_if<PhotocurrentElement>(&element);
                    p && to_index(p->lit_by) == g) {
                    plan_.surges.push_back({index_of(p->to), g, Share::base, 1});
                    plan_.surges.push_back({index_of(p->from), g, Share::rest, 1});
                } else if (const auto* r = std::get_if<LightResistorElement>(&element);
                           r && to_index(r->lit_by) == g) {
                    plan_.surges.push_back({index_of(r->from), g, Share::all, 1});
                }
            }
        }
    }

    // The base of a dark receiver takes seconds to come to rest, and nobody sees it.
    void watch_nodes() {
        std::vector<bool> base(network_.nodes, false);
        for (const auto& element : network_.elements) {
            if (const auto* t = std::get_if<TransistorElement>(&element))
                base[to_index(t->base)] = true;
        }
        for (std::size_t n = 1; n < network_.nodes; ++n) {
            if (!base[n]) plan_.watched.push_back(static_cast<Index16>(n));
        }
    }

    double figure(const std::optional<Slot>& slot) const {
        return slot ? values_[to_index(*slot)] : 0.0;
    }

    // The numbers at the solved specimen, in a step of the usual size.
    void sample(const StatePoint& point) {
        const SidePoint& solved = point.side(side_);
        const GapLight light = side_ == Side::output ? point.light : GapLight{};
        const auto elements = prepared::prepare(network_, values_, conditions_, light);
        const auto size = static_cast<Eigen::Index>(solved.unknowns.size());
        const Eigen::VectorXd x = Eigen::VectorXd::Map(solved.unknowns.data(), size);
        const auto controls = prepared::controls_at(elements, x);
        prepared::System system;
        prepared::assemble(elements, network_.nodes, x, controls, {}, system);
        for (auto& e : pattern_.entries()) e.sample = system.jacobian(e.row - 1, e.column - 1);
        for (const auto& c : plan_.capacitances) {
            add_between(c.nodes, c.nodes, (c.slot ? figure(c.slot) : c.fixed) / request_.step);
        }
        for (const auto& w : plan_.windings) {
            const Index16 row = plan_.branches[w.branch].row;
            pattern_.at(row, row)->sample -= values_[to_index(w.inductance)] / request_.step;
        }
        for (const auto& charge : plan_.device_charges) sample_charge(charge, elements, controls);
        for (const auto& branch : plan_.branches) {
            constexpr double least_drop = 1e-4;  // as in plan_lanes
            MatrixEntry& entry = *pattern_.at(branch.row, branch.row);
            const double drop = std::abs(entry.sample * x[branch.row - 1]);
            const double level = std::max(std::abs(solved.voltage(Node{branch.nodes.plus})),
                                          std::abs(solved.voltage(Node{branch.nodes.minus})));
            entry.avoid = drop < least_drop * level;
        }
    }

    void add_between(IndexPair flow, IndexPair control, double conductance) {
        const auto add = [&](Index16 row, Index16 column, double value) {
            if (auto* e = pattern_.at(row, column)) e->sample += value;
        };
        add(flow.plus, control.plus, conductance);
        add(flow.plus, control.minus, -conductance);
        add(flow.minus, control.plus, -conductance);
        add(flow.minus, control.minus, conductance);
    }

    void sample_charge(const DeviceChargePlan& charge,
                       const std::vector<prepared::Element>& elements,
                       const prepared::ControlVoltages& controls) {
        const DevicePlan& device = plan_.devices[charge.device];
        const auto& at = controls[device.element];
        if (charge.charges == 1) {
            const auto& law = std::get<prepared::Diode>(elements[device.element]).law;
            const Dual1 q =
                junction_charge(JunctionCharge<double>{figure(charge.junction.capacitance),
                                                       figure(charge.junction.transit_time)},
                                law, Dual1::variable(at[0], 0));
            add_between(device.flow[0], device.control[0], q.slope[0] / request_.step);
            return;
        }
        const auto& law = std::get<prepared::Bipolar>(elements[device.element]).law;
        const auto& t = charge.transistor;
        const auto q = transistor_charges(
            TransistorCharge<double>{figure(t.base_emitter_capacitance),
                                     figure(t.base_collector_capacitance), figure(t.transit_time),
                                     figure(t.reverse_transit_time)},
            law, Dual2::variable(at[0], 0), Dual2::variable(at[1], 1));
        for (std::size_t c = 0; c < 2; ++c) {
            add_between(device.control[0], device.control[c],
                        q.base_emitter.slope[c] / request_.step);
            add_between(device.control[1], device.control[c],
                        q.base_collector.slope[c] / request_.step);
        }
    }

    const Circuit& circuit_;
    Side side_;
    const LaneWaveRequest& request_;
    std::span<const double> values_;
    const Conditions& conditions_;
    const Network& network_;
    Pattern pattern_;
    WaveSidePlan plan_;
};

}  // namespace

std::size_t WaveSidePlan::charges() const {
    std::size_t count = capacitances.size() + windings.size() + cells.size();
    for (const auto& charge : device_charges) count += charge.charges;
    return count;
}

std::optional<WavePlan> plan_wave(const Circuit& circuit, const LaneWaveRequest& request,
                                  std::span<const double> values, const Conditions& conditions,
                                  const std::vector<StatePoint>& points,
                                  const std::vector<FigureRange>& ranges) {
    auto rest = plan_lanes(circuit, {}, values, conditions, points, ranges);
    if (!rest) return std::nullopt;
    WavePlan plan;
    plan.rest = std::move(*rest);
    plan.from = request.from;
    plan.goal = request.goal;
    for (const Side side : {Side::input, Side::output}) {
        auto planned =
            WaveSidePlanner(circuit, side, request, values, conditions).run(points[request.from]);
        if (!planned) return std::nullopt;
        (side == Side::input ? plan.input : plan.output) = std::move(*planned);
    }
    for (const auto& [side, element] : request.movers) {
        const Network& network = circuit.states[request.from].side(side);
        const bool leak =
            std::holds_alternative<LeakageElement>(network.elements[to_index(element)]);
        plan.movers.push_back({side, leak, place_of(network, element, leak)});
    }
    for (const auto& watch : request.probes) {
        const WaveSidePlan& side = plan.side(watch.probe.side);
        const CurrentSources sources(*side.network, side.devices, side.elimination.unknowns);
        plan.probes.push_back(
            {.probe = compile_probe(watch.probe, sources, plan.ports, plan.shares),
             .has_level = watch.level.has_value(),
             .level = watch.level.value_or(0)});
    }
    return plan;
}

}  // namespace gapwright
