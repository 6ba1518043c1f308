#include "lanes/plan.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/prepared.hpp"
#include "circuit/probe.hpp"
#include "lanes/elimination.hpp"
#include "lanes/plan_parts.hpp"
#include "lanes/starts.hpp"

namespace gapwright {
namespace {

class SidePlanner {
  public:
    SidePlanner(const Circuit& circuit, Side side, std::span<const double> values,
                const Conditions& conditions)
        : circuit_(circuit), side_(side), values_(values), conditions_(conditions) {
        plan_.network = &network(0);
        plan_.nodes = plan_.network->nodes;
        plan_.devices = devices_of(*plan_.network);
    }

    std::optional<SidePlan> run(const std::vector<StatePoint>& points) {
        for (std::size_t s = 0; s < points.size(); ++s) {
            auto state = state_plan(s, points[s]);
            if (!state) return std::nullopt;
            plan_.states.push_back(std::move(*state));
        }
        // The first state's entries serve all states: they stand in the same order in each.
        for (auto& device : plan_.devices) {
            place_entries(plan_.states.front().elimination, device);
        }
        plan_.unknowns = plan_.states.front().elimination.unknowns;
        for (const auto& state : plan_.states) {
            plan_.most_entries = std::max(plan_.most_entries, state.elimination.entries.size());
        }
        return std::move(plan_);
    }

  private:
    const Network& network(std::size_t state) const { return circuit_.states[state].side(side_); }

    std::optional<StatePlan> state_plan(std::size_t s, const StatePoint& point) {
        StatePlan state;
        state.network = &network(s);
        Pattern pattern;
        state.branches = add_branches(network(s), pattern);
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

    const Circuit& circuit_;
    Side side_;
    std::span<const double> values_;
    const Conditions& conditions_;
    SidePlan plan_;
};

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
    const auto sources = [&](const SidePlan& side) {
        return CurrentSources(*side.network, side.devices, side.unknowns);
    };
    const CurrentSources input_sources = sources(plan.input);
    const CurrentSources output_sources = sources(plan.output);
    for (const auto& m : measures) {
        const auto& from = m.probe.side == Side::input ? input_sources : output_sources;
        plan.measures.push_back(
            {to_index(m.state), compile_probe(m.probe, from, plan.ports, plan.shares)});
    }
    return plan;
}

}  // namespace gapwright
