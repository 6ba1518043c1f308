#include "lanes/plan.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <map>
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
#include "lanes/elimination.hpp"
#include "lanes/starts.hpp"

namespace gapwright {
namespace {

Index16 index_of(Node node) {
    return static_cast<Index16>(to_index(node));
}

// The controls and flows of each kind of device; branches are none.
struct DeviceOf {
    std::optional<DevicePlan> operator()(const Branch&) const { return std::nullopt; }
    std::optional<DevicePlan> operator()(const LightResistorElement&) const { return std::nullopt; }
    std::optional<DevicePlan> operator()(const JunctionElement& e) const {
        return two_terminal(DevicePlan::Kind::junction, e);
    }
    std::optional<DevicePlan> operator()(const BreakdownElement& e) const {
        return two_terminal(DevicePlan::Kind::breakdown, e);
    }
    std::optional<DevicePlan> operator()(const LeakageElement& e) const {
        return two_terminal(DevicePlan::Kind::leakage, e);
    }
    std::optional<DevicePlan> operator()(const TransistorElement& e) const {
        const Index16 collector = index_of(e.pnp ? e.to : e.from);
        const Index16 emitter = index_of(e.pnp ? e.from : e.to);
        const Index16 base = index_of(e.base);
        DevicePlan plan{.kind = DevicePlan::Kind::transistor, .controls = 2, .flows = 2};
        plan.control = {IndexPair{base, emitter}, IndexPair{base, collector}};
        plan.flow = {IndexPair{collector, emitter}, IndexPair{base, emitter}};
        if (e.pnp) exchange(plan);
        return plan;
    }
    std::optional<DevicePlan> operator()(const PhotocurrentElement& e) const {
        DevicePlan plan{.kind = DevicePlan::Kind::photocurrent, .controls = 0};
        plan.flow[0] = {index_of(e.from), index_of(e.to)};
        plan.gap = to_index(e.lit_by);
        return plan;
    }
    std::optional<DevicePlan> operator()(const MosfetElement& e) const {
        const Index16 drain = index_of(e.p_channel ? e.to : e.from);
        const Index16 source = index_of(e.p_channel ? e.from : e.to);
        DevicePlan plan{.kind = DevicePlan::Kind::mosfet, .controls = 2, .flows = 1};
        plan.control = {IndexPair{index_of(e.gate), source}, IndexPair{drain, source}};
        plan.flow[0] = {drain, source};
        if (e.p_channel) exchange(plan);
        return plan;
    }

    template <class Element>
    static DevicePlan two_terminal(DevicePlan::Kind kind, const Element& e) {
        DevicePlan plan{.kind = kind};
        plan.control[0] = plan.flow[0] = {index_of(e.from), index_of(e.to)};
        return plan;
    }
    static void exchange(DevicePlan& plan) {
        for (auto* pairs : {&plan.control, &plan.flow}) {
            for (auto& pair : *pairs) std::swap(pair.plus, pair.minus);
        }
    }
};

// The matrix's entries by place, in the same order for every state.
class Pattern {
  public:
    MatrixEntry* at(Index16 row, Index16 column) {
        if (row == 0 || column == 0) return nullptr;
        const auto [found, made] = places_.try_emplace({row, column}, entries_.size());
        if (made) entries_.push_back({.row = row, .column = column});
        return &entries_[found->second];
    }
    void add(Index16 row, Index16 column, double constant) {
        if (auto* e = at(row, column)) e->constant += constant;
    }
    std::vector<MatrixEntry>& entries() { return entries_; }

  private:
    std::vector<MatrixEntry> entries_;
    std::map<std::pair<Index16, Index16>, std::size_t> places_;
};

class SidePlanner {
  public:
    SidePlanner(const Circuit& circuit, Side side, std::span<const double> values,
                const Conditions& conditions)
        : circuit_(circuit), side_(side), values_(values), conditions_(conditions) {
        plan_.network = &network(0);
        plan_.nodes = plan_.network->nodes;
        for (std::size_t k = 0; k < plan_.network->elements.size(); ++k) {
            auto device = std::visit(DeviceOf{}, plan_.network->elements[k]);
            if (!device) continue;
            device->element = k;
            plan_.devices.push_back(*device);
        }
        for (const auto& device : plan_.devices) {
            if (device.kind == DevicePlan::Kind::photocurrent) light_base(device);
        }
    }

    std::optional<SidePlan> run(const std::vector<StatePoint>& points) {
        for (std::size_t s = 0; s < points.size(); ++s) {
            auto state = state_plan(s, points[s]);
            if (!state) return std::nullopt;
            plan_.states.push_back(std::move(*state));
        }
        for (auto& device : plan_.devices) place_entries(device);
        plan_.unknowns = plan_.states.front().elimination.unknowns;
        for (const auto& state : plan_.states) {
            plan_.most_entries = std::max(plan_.most_entries, state.elimination.entries.size());
        }
        return std::move(plan_);
    }

  private:
    const Network& network(std::size_t state) const { return circuit_.states[state].side(side_); }

    // Transistors whose base the light enters start from what it makes of them.
    void light_base(const DevicePlan& photocurrent) {
        for (auto& device : plan_.devices) {
            const bool entered = device.kind == DevicePlan::Kind::transistor &&
                                 device.control[0].plus == photocurrent.flow[0].minus;
            if (entered) device.gap = photocurrent.gap;
        }
    }

    std::optional<StatePlan> state_plan(std::size_t s, const StatePoint& point) {
        StatePlan state;
        state.network = &network(s);
        Pattern pattern;
        add_branches(network(s), state, pattern);
        for (const auto& device : plan_.devices) add_device(device, pattern);
        sample(s, point, state, pattern);
        const std::size_t unknowns = prepared::unknown_count(network(s));
        auto elimination = plan_elimination(unknowns, pattern.entries());
        if (!elimination) return std::nullopt;
        state.elimination = std::move(*elimination);
        for (auto& branch : state.branches) {
            branch.resistance_entry = entry_at(state.elimination, branch.row, branch.row);
        }
        return state;
    }

    void add_branches(const Network& net, StatePlan& state, Pattern& pattern) const {
        auto row = static_cast<Index16>(net.nodes);
        for (const auto& element : net.elements) {
            BranchPlan plan;
            if (const auto* b = std::get_if<Branch>(&element)) {
                plan.nodes = {index_of(b->from), index_of(b->to)};
                plan.voltage = b->voltage;
                plan.resistance = b->resistance;
            } else if (const auto* r = std::get_if<LightResistorElement>(&element)) {
                plan.nodes = {index_of(r->from), index_of(r->to)};
                plan.light_resistor = r;
            } else {
                continue;
            }
            plan.row = row++;
            pattern.add(plan.nodes.plus, plan.row, 1);
            pattern.add(plan.nodes.minus, plan.row, -1);
            pattern.add(plan.row, plan.nodes.plus, 1);
            pattern.add(plan.row, plan.nodes.minus, -1);
            pattern.at(plan.row, plan.row)->has_figure = plan.resistance || plan.light_resistor;
            state.branches.push_back(plan);
        }
    }

    static void add_device(const DevicePlan& device, Pattern& pattern) {
        for (std::size_t f = 0; f < device.flows; ++f) {
            for (std::size_t c = 0; c < device.controls; ++c) {
                for (const Index16 row : {device.flow[f].plus, device.flow[f].minus}) {
                    for (const Index16 column : {device.control[c].plus, device.control[c].minus}) {
                        if (auto* e = pattern.at(row, column)) e->changes = true;
                    }
                }
            }
        }
    }

    // The numbers at the solved specimen, and where iterations start from it.
    void sample(std::size_t s, const StatePoint& point, StatePlan& state, Pattern& pattern) const {
        const SidePoint& solved = point.side(side_);
        const GapLight light = side_ == Side::output ? point.light : GapLight{};
        const auto elements = prepared::prepare(network(s), values_, conditions_, light);
        const auto size = static_cast<Eigen::Index>(solved.unknowns.size());
        const Eigen::VectorXd x = Eigen::VectorXd::Map(solved.unknowns.data(), size);
        const auto controls = prepared::controls_at(elements, x);
        prepared::System system;
        prepared::assemble(elements, network(s).nodes, x, controls, {}, system);
        for (auto& e : pattern.entries()) e.sample = system.jacobian(e.row - 1, e.column - 1);
        for (const auto& branch : state.branches) {
            // A current worked out as a small difference of voltages over a resistance drowns in
            // their rounding: such a branch keeps its current to the end.
            constexpr double least_drop = 1e-4;  // of the voltages
            const double drop =
                std::abs(pattern.at(branch.row, branch.row)->sample * x[branch.row - 1]);
            const double level = std::max(std::abs(solved.voltage(Node{branch.nodes.plus})),
                                          std::abs(solved.voltage(Node{branch.nodes.minus})));
            pattern.at(branch.row, branch.row)->avoid = drop < least_drop * level;
        }
        for (const auto& device : plan_.devices) {
            state.starts.push_back(
                control_starts(elements[device.element], controls[device.element]));
        }
        state.nominal_light = light;
    }

    // The first state's entries serve all states: original entries stand in the same order in each.
    void place_entries(DevicePlan& device) const {
        const Elimination& e = plan_.states.front().elimination;
        for (std::size_t f = 0; f < device.flows; ++f) {
            for (std::size_t c = 0; c < device.controls; ++c) {
                const auto stamp = [&](Index16 row, Index16 column, std::vector<Stamp>& list) {
                    const Index16 entry = entry_at(e, row, column);
                    if (entry == nowhere) return;
                    list.push_back(
                        {entry, static_cast<std::uint8_t>(f), static_cast<std::uint8_t>(c)});
                };
                const IndexPair flow = device.flow[f];
                const IndexPair control = device.control[c];
                stamp(flow.plus, control.plus, device.added);
                stamp(flow.plus, control.minus, device.taken);
                stamp(flow.minus, control.plus, device.taken);
                stamp(flow.minus, control.minus, device.added);
            }
        }
    }

    const Circuit& circuit_;
    Side side_;
    std::span<const double> values_;
    const Conditions& conditions_;
    SidePlan plan_;
};

// Where each element's currents are found among a state's results: unknowns, then two numbers a
// device.
class CurrentSources {
  public:
    explicit CurrentSources(const SidePlan& plan) {
        std::uint32_t row = static_cast<std::uint32_t>(plan.nodes);
        std::size_t device = 0;
        const std::size_t unknowns = plan.states.front().elimination.unknowns;
        for (std::size_t k = 0; k < plan.network->elements.size(); ++k) {
            if (device < plan.devices.size() && plan.devices[device].element == k) {
                source_.push_back(static_cast<std::uint32_t>(unknowns + 1 + 2 * device++));
            } else {
                source_.push_back(row++);
            }
        }
    }
    std::uint32_t main(ElementIndex element) const { return source_[to_index(element)]; }
    std::uint32_t base(ElementIndex element) const { return source_[to_index(element)] + 1; }

  private:
    std::vector<std::uint32_t> source_;
};

void add_measure(const Measure& measure, const CurrentSources& sources, LanePlan& plan) {
    plan.measures.push_back({.state = to_index(measure.state),
                             .side = measure.probe.side,
                             .kind = measure.probe.kind,
                             .first = static_cast<std::uint32_t>(plan.ports.size()),
                             .count = static_cast<std::uint32_t>(measure.probe.ports.size())});
    for (const auto& port : measure.probe.ports) {
        MeasurePort compiled{.nodes = {index_of(port.plus), index_of(port.minus)},
                             .first = static_cast<std::uint32_t>(plan.shares.size()),
                             .count = 0};
        for (const auto& term : port.current) {
            if (term.main != 0) plan.shares.push_back({sources.main(term.element), term.main});
            if (term.base != 0) plan.shares.push_back({sources.base(term.element), term.base});
        }
        compiled.count = static_cast<std::uint32_t>(plan.shares.size()) - compiled.first;
        plan.ports.push_back(compiled);
    }
}

}  // namespace

std::optional<LanePlan> plan_lanes(const Circuit& circuit, const std::vector<Measure>& measures,
                                   std::span<const double> values, const Conditions& conditions,
                                   const std::vector<StatePoint>& points,
                                   const std::vector<FigureRange>& ranges) {
    auto input = SidePlanner(circuit, Side::input, values, conditions).run(points);
    auto output = SidePlanner(circuit, Side::output, values, conditions).run(points);
    if (!input || !output) return std::nullopt;
    LanePlan plan;
    plan.slots = circuit.slots;
    plan.gaps = circuit.gaps;
    plan.state_shares = circuit.shares;
    plan.input = std::move(*input);
    plan.output = std::move(*output);
    for (const auto& gap : circuit.gaps) {
        const auto device =
            std::ranges::find(plan.input.devices, to_index(gap.emitter), &DevicePlan::element);
        plan.emitters.push_back(static_cast<std::size_t>(device - plan.input.devices.begin()));
    }
    add_start_slopes(circuit, values, conditions, points, ranges, plan);
    const CurrentSources input_sources(plan.input);
    const CurrentSources output_sources(plan.output);
    for (const auto& m : measures) {
        add_measure(m, m.probe.side == Side::input ? input_sources : output_sources, plan);
    }
    return plan;
}

}  // namespace gapwright
