// The kernels' common code: a link solved for one group of specimens, one a lane. A template over
// the instruction set, included only by the kernels' files.
//
// Newton's method in the form of companion models: at each step every device is replaced by its
// tangent at its control voltages, and the linear network is solved anew. The linear part of it has
// been eliminated before the first step.
//
// Kernels are compiled for processors that may not be there. Nothing here may leave code behind
// that the linker could choose for the rest of the program: no standard container is made or grown,
// and everything else is a template over the instruction set (a test looks at the object files).
#pragma once

#include <cstddef>
#include <cstdint>
#include "circuit/gap_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "lanes/device_lanes.hpp"
#include "lanes/elimination.hpp"
#include "lanes/kernel.hpp"
#include "lanes/lane_elimination.hpp"
#include "lanes/lane_probe.hpp"
#include "lanes/number.hpp"
#include "lanes/plan.hpp"

namespace gapwright {

template <class Arch>
class GroupSolver {
    using L = Lanes<Arch>;
    using Mask = typename L::Mask;
    using Device = DeviceLanes<Arch>;
    static constexpr std::size_t width = L::width;

    struct SideWork {
        DeviceRows<Arch>* devices = nullptr;
        L* entries = nullptr;  // after the constant steps
        L* right = nullptr;
        L* live_entries = nullptr;  // of the step under way
        L* live_right = nullptr;
        L* reciprocals = nullptr;  // of pivots
        L* balance = nullptr;      // by node
        L* results = nullptr;      // by state: the unknowns, then two currents a device
    };

  public:
    explicit GroupSolver(const LaneTask& task) : task_(task), plan_(*task.plan) {
        L* next = reinterpret_cast<L*>(task.work);
        const auto take = [&](std::size_t rows) {
            L* taken = next;
            next += rows;
            return taken;
        };
        for (const Side side : {Side::input, Side::output}) {
            const SidePlan& plan = plan_.side(side);
            SideWork& work = work_[index(side)];
            const std::size_t unknowns = plan.unknowns + 1;
            work.devices =
                reinterpret_cast<DeviceRows<Arch>*>(take(plan.devices.size() * rows_of_device));
            work.entries = take(plan.most_entries);
            work.live_entries = take(plan.most_entries);
            work.right = take(unknowns);
            work.live_right = take(unknowns);
            work.reciprocals = take(unknowns);
            work.balance = take(plan.nodes);
            work.results = take(plan_.states() * result_rows(side));
        }
        light_ = take(plan_.states() * plan_.gaps.size());
        left_ = take(plan_.gaps.size());
        around_ = {figure(plan_.slots), figure(plan_.slots + 1), figure(plan_.slots + 2)};
    }

    // Returns the lanes that settled, lowest bit first.
    std::uint64_t run() {
        for (const Side side : {Side::input, Side::output}) {
            for (std::size_t d = 0; d < plan_.side(side).devices.size(); ++d) {
                prepare(side, plan_.side(side).network, d);
            }
        }
        for (std::size_t s = 0; s < plan_.states() && any(settled_); ++s) solve(Side::input, s);
        for (std::size_t g = 0; g < plan_.gaps.size() && any(settled_); ++g) {
            const auto current = [&](std::size_t s) { return emitter_current(s, g); };
            left_[g] = life_at(plan_.gaps[g], value_, around_, plan_.state_shares, plan_.states(),
                               current);
        }
        for (std::size_t s = 0; s < plan_.states() && any(settled_); ++s) {
            for (std::size_t g = 0; g < plan_.gaps.size(); ++g) {
                light_[s * plan_.gaps.size() + g] =
                    light_of_life(plan_.gaps[g], value_, around_, emitter_current(s, g), left_[g]);
            }
            solve(Side::output, s);
        }
        const MeasurePlan* measures = plan_.measures.data();
        for (std::size_t m = 0; m < plan_.measures.size(); ++m) {
            const ProbePlan& probe = measures[m].probe;
            probe_value(probe, plan_.ports.data(), plan_.shares.data(),
                        results(probe.side, measures[m].state))
                .store(task_.measured + m * width);
        }
        return bits(settled_);
    }

    // Of the lanes that settled: a side's unknowns, then two currents a device; what each receiver
    // gets; the share of an emitter's light that is left.
    const L* solved(Side side, std::size_t state) const { return results(side, state); }
    const L& light(std::size_t state, std::size_t gap) const {
        return light_[state * plan_.gaps.size() + gap];
    }
    const L& left(std::size_t gap) const { return left_[gap]; }

  private:
    struct Values {
        const double* rows;
        L operator()(Slot slot) const { return L::load(rows + to_index(slot) * width); }
    };

    static std::uint64_t bits(const Mask& mask) {
        alignas(lane_alignment) double flags[width];
        choose(mask, L(1.0), L(0.0)).store(flags);
        std::uint64_t result = 0;
        for (std::size_t k = 0; k < width; ++k) {
            if (flags[k] != 0.0) result |= std::uint64_t{1} << k;
        }
        return result;
    }

    static std::size_t index(Side side) { return side == Side::input ? 0 : 1; }
    L figure(std::size_t row) const { return L::load(task_.specimens + row * width); }

    std::size_t result_rows(Side side) const {
        return plan_.side(side).unknowns + 1 + 2 * plan_.side(side).devices.size();
    }
    L* results(Side side, std::size_t state) const {
        return work_[index(side)].results + state * result_rows(side);
    }
    L* device_currents(Side side, std::size_t state, std::size_t device) const {
        return results(side, state) + plan_.side(side).unknowns + 1 + 2 * device;
    }
    L emitter_current(std::size_t state, std::size_t gap) const {
        return device_currents(Side::input, state, plan_.emitters.data()[gap])[0];
    }

    Device device(Side side, std::size_t d) const {
        return {plan_.side(side).devices.data()[d], work_[index(side)].devices[d]};
    }
    void prepare(Side side, const Network* network, std::size_t d) {
        const std::size_t element = plan_.side(side).devices.data()[d].element;
        device(side, d).prepare(network->elements.data()[element], value_, around_.temperature);
    }
    // The light of a device's gap in a state; nothing for devices without one.
    L photocurrent(Side side, std::size_t s, std::size_t d) const {
        const DevicePlan& plan = plan_.side(side).devices.data()[d];
        return plan.gap ? light_[s * plan_.gaps.size() + *plan.gap] : L(0.0);
    }

    // One side in one state.
    void solve(Side side, std::size_t s) {
        const SidePlan& plan = plan_.side(side);
        const StatePlan& state = plan.states.data()[s];
        begin(side, s);
        L* x = results(side, s);
        x[0] = L(0.0);
        Mask converged = Mask(plan.devices.empty());
        for (int k = 0; k < task_.iteration_limit; ++k) {
            if (task_.iterations) ++*task_.iterations;
            step(side, s, x);
            converged = Mask(true);
            for (std::size_t d = 0; d < plan.devices.size(); ++d) {
                converged = converged & device(side, d).move(x);
            }
            if (all(converged | !settled_)) break;
        }
        settled_ = settled_ & converged;
        SideWork& work = work_[index(side)];
        substitute(state.elimination, state.elimination.constant_steps.data(),
                   state.elimination.constant_steps.size(), work.entries, work.right,
                   work.reciprocals, x);
        finish(side, s, x);
    }

    // The linear part, and where devices start.
    void begin(Side side, std::size_t s) {
        const SidePlan& plan = plan_.side(side);
        const StatePlan& state = plan.states.data()[s];
        SideWork& work = work_[index(side)];
        fill(state, light_ + s * plan_.gaps.size(), work);
        add_photocurrents(side, s);
        eliminate(state.elimination, state.elimination.constant_steps.data(),
                  state.elimination.constant_steps.size(), work.entries, work.right,
                  work.reciprocals);
        const Index16* live = state.elimination.live_entries.data();
        for (std::size_t k = 0; k < state.elimination.live_entries.size(); ++k) {
            work.live_entries[live[k]] = work.entries[live[k]];
        }
        for (std::size_t d = 0; d < plan.devices.size(); ++d) {
            const DevicePlan& which = plan.devices.data()[d];
            if (which.kind == DevicePlan::Kind::leakage) prepare(side, state.network, d);
            device(side, d).start(state.starts.data()[d], light_share(side, s, d));
        }
        const StartSlope* slopes = state.start_slopes.data();
        for (std::size_t k = 0; k < state.start_slopes.size(); ++k) {
            const StartSlope& slope = slopes[k];
            device(side, slope.device)
                .shift(slope.control, figure(slope.figure) - slope.sample, slope.slope);
        }
        for (std::size_t d = 0; d < plan.devices.size(); ++d) {
            device(side, d).hold_back(state.starts.data()[d], light_share(side, s, d));
        }
    }

    // A receiver's photocurrent against the sample's; one for other devices.
    L light_share(Side side, std::size_t s, std::size_t d) const {
        const DevicePlan& which = plan_.side(side).devices.data()[d];
        const StatePlan& state = plan_.side(side).states.data()[s];
        const double sample = which.gap ? state.nominal_light.data()[*which.gap] : 0.0;
        return sample > 0 ? photocurrent(side, s, d) / sample : L(1.0);
    }

    // The matrix and right side without devices.
    void fill(const StatePlan& state, const L* light, SideWork& work) const {
        const MatrixEntry* entries = state.elimination.entries.data();
        for (std::size_t k = 0; k < state.elimination.entries.size(); ++k) {
            work.entries[k] = L(entries[k].constant);
        }
        for (std::size_t k = 0; k <= state.elimination.unknowns; ++k) work.right[k] = L(0.0);
        const BranchPlan* branches = state.branches.data();
        for (std::size_t k = 0; k < state.branches.size(); ++k) {
            const BranchPlan& b = branches[k];
            if (b.voltage) work.right[b.row] = -value_(*b.voltage);
            if (b.resistance) work.entries[b.resistance_entry] = -value_(*b.resistance);
            if (b.light_resistor) {
                const L& illuminance = light[to_index(b.light_resistor->lit_by)];
                work.entries[b.resistance_entry] =
                    -resistance_at(*b.light_resistor, value_, illuminance);
            }
        }
    }

    // Photocurrents belong to the linear part: voltages do not move them.
    void add_photocurrents(Side side, std::size_t s) {
        const SidePlan& plan = plan_.side(side);
        L* right = work_[index(side)].right;
        for (std::size_t d = 0; d < plan.devices.size(); ++d) {
            const DevicePlan& which = plan.devices.data()[d];
            if (which.kind != DevicePlan::Kind::photocurrent) continue;
            const L current = photocurrent(side, s, d);
            device(side, d).carry(current);
            right[which.flow[0].plus] = right[which.flow[0].plus] - current;
            right[which.flow[0].minus] = right[which.flow[0].minus] + current;
        }
    }

    // One step of Newton's method: the live part of the unknowns.
    void step(Side side, std::size_t s, L* x) {
        const SidePlan& plan = plan_.side(side);
        const Elimination& elimination = plan.states.data()[s].elimination;
        SideWork& work = work_[index(side)];
        const Index16* entries = elimination.spoilt_entries.data();
        for (std::size_t k = 0; k < elimination.spoilt_entries.size(); ++k) {
            work.live_entries[entries[k]] = work.entries[entries[k]];
        }
        const Index16* rows = elimination.live_rows.data();
        for (std::size_t k = 0; k < elimination.live_rows.size(); ++k) {
            work.live_right[rows[k]] = work.right[rows[k]];
        }
        for (std::size_t d = 0; d < plan.devices.size(); ++d) {
            if (plan.devices.data()[d].kind == DevicePlan::Kind::photocurrent) continue;
            Device here = device(side, d);
            here.look();
            here.stamp(work.live_entries, work.live_right);
        }
        const PivotStep* steps = elimination.changing_steps.data();
        const std::size_t count = elimination.changing_steps.size();
        L* reciprocals = work.reciprocals + elimination.constant_steps.size();
        eliminate(elimination, steps, count, work.live_entries, work.live_right, reciprocals);
        substitute(elimination, steps, count, work.live_entries, work.live_right, reciprocals, x);
    }

    // The devices' currents, and whether every node balances.
    void finish(Side side, std::size_t s, const L* x) {
        const SidePlan& plan = plan_.side(side);
        const StatePlan& state = plan.states.data()[s];
        L* balance = work_[index(side)].balance;
        for (std::size_t n = 0; n < plan.nodes; ++n) balance[n] = L(0.0);
        L largest(0.0);
        const auto flow = [&](const IndexPair& nodes, const L& current) {
            balance[nodes.plus] = balance[nodes.plus] + current;
            balance[nodes.minus] = balance[nodes.minus] - current;
            largest = maximum(largest, abs(current));
        };
        for (std::size_t k = 0; k < state.branches.size(); ++k) {
            const BranchPlan& b = state.branches.data()[k];
            flow(b.nodes, x[b.row]);
        }
        for (std::size_t d = 0; d < plan.devices.size(); ++d) {
            const DevicePlan& which = plan.devices.data()[d];
            L* currents = device_currents(side, s, d);
            currents[1] = L(0.0);
            for (std::size_t f = 0; f < which.flows; ++f) {
                currents[f] = device(side, d).current(f, x);
                flow(which.flow[f], currents[f]);
            }
        }
        const L allowed = largest * relative_balance + absolute_balance;
        for (std::size_t n = 1; n < plan.nodes; ++n) {
            settled_ = settled_ & (abs(balance[n]) <= allowed);
        }
    }

    static_assert(sizeof(DeviceRows<Arch>) == rows_of_device * sizeof(L));

    const LaneTask& task_;
    const LanePlan& plan_;
    Values value_{task_.specimens};
    ConditionsOf<L> around_;
    SideWork work_[2];
    L* light_ = nullptr;  // by state and gap: what each receiver gets
    L* left_ = nullptr;   // by gap: the share of its emitter's light
    Mask settled_ = Mask(true);
};

}  // namespace gapwright
