#include "lanes/plan_parts.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "lanes/elimination.hpp"
#include "lanes/plan.hpp"

namespace gapwright {
namespace {

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

// Transistors whose base the light enters start from what it makes of them.
void light_base(const DevicePlan& photocurrent, std::vector<DevicePlan>& devices) {
    for (auto& device : devices) {
        const bool entered = device.kind == DevicePlan::Kind::transistor &&
                             device.control[0].plus == photocurrent.flow[0].minus;
        if (entered) device.gap = photocurrent.gap;
    }
}

}  // namespace

Index16 index_of(Node node) {
    return static_cast<Index16>(to_index(node));
}

std::vector<DevicePlan> devices_of(const Network& network) {
    std::vector<DevicePlan> devices;
    for (std::size_t k = 0; k < network.elements.size(); ++k) {
        auto device = std::visit(DeviceOf{}, network.elements[k]);
        if (!device) continue;
        device->element = k;
        devices.push_back(*device);
    }
    const std::vector<DevicePlan> all = devices;
    for (const auto& device : all) {
        if (device.kind == DevicePlan::Kind::photocurrent) light_base(device, devices);
    }
    return devices;
}

MatrixEntry* Pattern::at(Index16 row, Index16 column) {
    if (row == 0 || column == 0) return nullptr;
    const auto [found, made] = places_.try_emplace({row, column}, entries_.size());
    if (made) entries_.push_back({.row = row, .column = column});
    return &entries_[found->second];
}

void Pattern::add(Index16 row, Index16 column, double constant) {
    if (auto* e = at(row, column)) e->constant += constant;
}

std::vector<BranchPlan> add_branches(const Network& network, Pattern& pattern) {
    std::vector<BranchPlan> branches;
    auto row = static_cast<Index16>(network.nodes);
    for (const auto& element : network.elements) {
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
        branches.push_back(plan);
    }
    return branches;
}

void add_device(const DevicePlan& device, Pattern& pattern) {
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

void place_entries(const Elimination& elimination, DevicePlan& device) {
    for (std::size_t f = 0; f < device.flows; ++f) {
        for (std::size_t c = 0; c < device.controls; ++c) {
            const auto stamp = [&](Index16 row, Index16 column, std::vector<Stamp>& list) {
                const Index16 entry = entry_at(elimination, row, column);
                if (entry == nowhere) return;
                list.push_back({entry, static_cast<std::uint8_t>(f), static_cast<std::uint8_t>(c)});
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

CurrentSources::CurrentSources(const Network& network, const std::vector<DevicePlan>& devices,
                               std::size_t unknowns) {
    auto row = static_cast<std::uint32_t>(network.nodes);
    std::size_t device = 0;
    for (std::size_t k = 0; k < network.elements.size(); ++k) {
        if (device < devices.size() && devices[device].element == k) {
            source_.push_back(static_cast<std::uint32_t>(unknowns + 1 + 2 * device++));
        } else {
            source_.push_back(row++);
        }
    }
}

ProbePlan compile_probe(const Probe& probe, const CurrentSources& sources,
                        std::vector<MeasurePort>& ports, std::vector<CurrentShare>& shares) {
    const ProbePlan plan{.side = probe.side,
                         .kind = probe.kind,
                         .first = static_cast<std::uint32_t>(ports.size()),
                         .count = static_cast<std::uint32_t>(probe.ports.size())};
    for (const auto& port : probe.ports) {
        MeasurePort compiled{.nodes = {index_of(port.plus), index_of(port.minus)},
                             .first = static_cast<std::uint32_t>(shares.size()),
                             .count = 0};
        for (const auto& term : port.current) {
            if (term.main != 0) shares.push_back({sources.main(term.element), term.main});
            if (term.base != 0) shares.push_back({sources.base(term.element), term.base});
        }
        compiled.count = static_cast<std::uint32_t>(shares.size()) - compiled.first;
        ports.push_back(compiled);
    }
    return plan;
}

}  // namespace gapwright
