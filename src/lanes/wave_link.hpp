// A whole link at the stages of a step in time, in lanes: both sides, the light between them, what
// is stored, the step's error. Included only by the kernels' files.
#pragma once

#include <cstddef>
#include <cstdint>

#include "circuit/gap_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "device/light.hpp"
#include "lanes/group_solver.hpp"
#include "lanes/kernel.hpp"
#include "lanes/lane_probe.hpp"
#include "lanes/number.hpp"
#include "lanes/one_step.hpp"
#include "lanes/wave_plan.hpp"
#include "lanes/wave_side.hpp"

namespace gapwright {

// A step, and a stage of it.
template <class Arch>
struct StepOf {
    using L = Lanes<Arch>;

    L length;  // s
    L per;     // 1/(γ·length)
    L since;   // s, of the stretch, at the step's beginning
    L ratio;   // of the step to the one before; 0 where that was a jump
    L surge;   // V/s
    typename L::Mask jumping;
};

template <class Arch>
class WaveLink {
    using L = Lanes<Arch>;
    using Mask = typename L::Mask;
    using Step = StepOf<Arch>;
    static constexpr std::size_t width = L::width;
    static constexpr std::size_t stages = one_step::stages;
    static constexpr int rest_iterations = 60;
    static constexpr double rest_share = 1e-4;  // as Equations::rests
    static constexpr double cell_rest_share = 1e-3;
    static constexpr double least_winding_current = 1e-9;  // A, as Equations has it

    struct Figures {
        const double* rows;
        L operator()(Slot slot) const { return L::load(rows + to_index(slot) * width); }
    };
    using OneSide = WaveSide<Arch, Figures>;

  public:
    // Takes its rows from `next` on, behind those of the plan at rest.
    template <class Take>
    WaveLink(const WaveTask& task, const Take& take)
        : task_(task),
          plan_(*task.plan),
          value_{task.specimens},
          rest_task_{.plan = &task.plan->rest,
                     .specimens = task.specimens,
                     .work = task.work,
                     .measured = nullptr,
                     .iteration_limit = rest_iterations,
                     .iterations = nullptr},
          rest_(rest_task_) {
        for (const Side side : {Side::input, Side::output}) {
            const WaveSidePlan& plan = plan_.side(side);
            WaveSideRows<Arch>& rows = rows_[index(side)];
            const std::size_t unknowns = plan.elimination.unknowns + 1;
            const std::size_t charges = charges_of(plan);
            rows.devices =
                reinterpret_cast<DeviceRows<Arch>*>(take(plan.devices.size() * rows_of_device));
            rows.charged = reinterpret_cast<ChargeRows<Arch>*>(
                take(plan.device_charges.size() * rows_of_charge));
            rows.entries = take(plan.elimination.entries.size());
            rows.live_entries = take(plan.elimination.entries.size());
            rows.right = take(unknowns);
            rows.live_right = take(unknowns);
            rows.reciprocals = take(unknowns);
            rows.x = take(unknowns + 2 * plan.devices.size());
            rows.accepted = take(unknowns);
            rows.correction = take(unknowns);
            rows.staged = take(stages * unknowns);
            rows.trend = take(unknowns);
            rows.stored = take(charges);
            rows.hat = take(charges);
            rows.last = take(charges);
            rows.flows = take(stages * charges);
            winding_sizes_[index(side)] = take(plan.windings.size());
            cell_sizes_[index(side)] = take(plan.cells.size());
        }
        light_ = take(plan_.rest.gaps.size());
        moving_ = take(4 * plan_.movers.size());
        const std::size_t slots = plan_.rest.slots;
        around_ = {figure(slots), figure(slots + 1), figure(slots + 2)};
    }

    L* moving() { return moving_; }  // four rows a mover, of each lane's stretch

    // Solves all states at rest and stands at the first; returns the lanes that settled.
    std::uint64_t stand_at_rest() {
        const std::uint64_t settled = rest_.run();
        for (const Side which : {Side::input, Side::output}) {
            side(which).prepare(around_.temperature);
            measure_sizes(which);
            side(which).stand_at(rest_.solved(which, plan_.from));
        }
        for (std::size_t c = 0; c < plan_.output.cells.size(); ++c) {
            rows_[1].stored[first_cell(plan_.output) + c] = lit_at_rest(c, plan_.from);
        }
        // Currents of devices at rest are those of the plan at rest: light is part of them.
        copy_currents_at_rest();
        return settled;
    }

    // Solves stage `s`; returns those of `wanted` that came to their end.
    Mask stage(std::size_t s, const Step& step, Mask wanted) {
        for (const Side which : {Side::input, Side::output}) sum_hats(which, s, step.length);
        // The light of the input side's solution reaches the output side at once.
        wanted = wanted & solve_side(Side::input, s, step, wanted);
        find_light();
        solve_cells(s, step);
        return wanted & solve_side(Side::output, s, step, wanted);
    }

    // The step's error against the tolerance: above one is too much.
    L error_of(const Step& step, const Mask& solved) {
        L worst(0.0);
        if (!any(solved)) return worst;
        const double tolerance = task_.tolerance;
        const auto count = [&](const L& error, const L& size) {
            worst = maximum(worst, abs(error) / (size * tolerance));
        };
        for (const Side which : {Side::input, Side::output}) {
            const WaveSidePlan& plan = plan_.side(which);
            WaveSideRows<Arch>& rows = rows_[index(which)];
            const std::size_t charges = charges_of(plan);
            for (std::size_t q = 0; q < charges; ++q) {
                L sum(0.0);
                for (std::size_t j = 0; j < stages; ++j) {
                    sum = sum + rows.flows[j * charges + q] * one_step::error[j];
                }
                rows.hat[q] = step.length * sum;
            }
            side_at(which, step.per).correct();
            const L least = minimum(voltages_[index(which)], L(0.1));
            for (std::size_t n = 1; n < plan.nodes; ++n) {
                count(rows.correction[n], abs(rows.x[n]) + least);
            }
            for (std::size_t w = 0; w < plan.windings.size(); ++w) {
                const Index16 row = plan.branches.data()[plan.windings.data()[w].branch].row;
                count(rows.correction[row],
                      abs(rows.x[row]) + winding_sizes_[index(which)][w] * 0.1);
            }
            for (std::size_t c = 0; c < plan.cells.size(); ++c) {
                const std::size_t q = first_cell(plan) + c;
                const LightResistorElement& e = cell_element(c);
                count(rows.hat[q], abs(rows.last[q]) + 1.0 / value_(e.card.dark_resistance) +
                                       1e-4 / value_(e.card.resistance));
            }
        }
        return worst;
    }

    // Takes over what the last stage came to, where `some` says so.
    void accept(const Mask& some) {
        for (const Side which : {Side::input, Side::output}) {
            const WaveSidePlan& plan = plan_.side(which);
            WaveSideRows<Arch>& rows = rows_[index(which)];
            const std::size_t count = plan.elimination.unknowns + 1;
            const L* quarter = rows.staged + count;  // three quarters through
            for (std::size_t n = 0; n < count; ++n) {
                rows.accepted[n] = choose(some, rows.x[n], rows.accepted[n]);
                rows.trend[n] = choose(some, rows.x[n] - quarter[n], rows.trend[n]);
            }
            for (std::size_t q = 0; q < charges_of(plan); ++q) {
                rows.stored[q] = choose(some, rows.last[q], rows.stored[q]);
            }
        }
    }

    // What a probe reads of the last stage; of a state at rest.
    L probed(const ProbePlan& probe) const { return read(probe, rows_[index(probe.side)].x); }
    L probed_at_rest(const ProbePlan& probe, std::size_t state) const {
        return read(probe, rest_.solved(probe.side, state));
    }

    // Lanes in which everything that others see is where it rests at the end.
    Mask rests() {
        Mask resting = Mask(true);
        for (const Side which : {Side::input, Side::output}) {
            const WaveSidePlan& plan = plan_.side(which);
            const WaveSideRows<Arch>& rows = rows_[index(which)];
            const L* goal = rest_.solved(which, plan_.goal);
            const L near = voltages_[index(which)] * rest_share;
            for (std::size_t n = 0; n < plan.watched.size(); ++n) {
                const Index16 node = plan.watched.data()[n];
                resting = resting & (abs(rows.accepted[node] - goal[node]) <= near);
            }
            for (std::size_t w = 0; w < plan.windings.size(); ++w) {
                const Index16 row = plan.branches.data()[plan.windings.data()[w].branch].row;
                resting = resting & (abs(rows.accepted[row] - goal[row]) <=
                                     winding_sizes_[index(which)][w] * rest_share);
            }
            for (std::size_t c = 0; c < plan.cells.size(); ++c) {
                resting = resting &
                          (abs(rows.stored[first_cell(plan) + c] - lit_at_rest(c, plan_.goal)) <=
                           cell_sizes_[index(which)][c] * cell_rest_share);
            }
        }
        return resting;
    }

  private:
    void sum_hats(Side which, std::size_t s, const L& length) {
        WaveSideRows<Arch>& rows = rows_[index(which)];
        const std::size_t charges = charges_of(plan_.side(which));
        for (std::size_t q = 0; q < charges; ++q) {
            L sum(0.0);
            for (std::size_t j = 0; j < s; ++j) {
                sum = sum + rows.flows[j * charges + q] * one_step::weights[s][j];
            }
            rows.hat[q] = rows.stored[q] + length * sum;
        }
    }

    Mask solve_side(Side which, std::size_t s, const Step& step, const Mask& wanted) {
        WaveSideRows<Arch>& rows = rows_[index(which)];
        const WaveSidePlan& plan = plan_.side(which);
        OneSide here = side_at(which, step.per);
        const L now = step.since + step.length * one_step::at[s];
        here.begin(light_);
        for (std::size_t m = 0; m < plan_.movers.size(); ++m) {
            const MoverPlan& mover = plan_.movers.data()[m];
            if (mover.side != which) continue;
            const L* f = moving_ + 4 * m;
            here.set(mover, f[0] + f[1] * now, f[2] + f[3] * now);
        }
        here.add_windings();
        if (which == Side::output) {
            for (std::size_t c = 0; c < plan.cells.size(); ++c) {
                here.set_cell(c, rows.last[first_cell(plan) + c]);
            }
        }
        add_surges(which, step.surge, here);
        here.guess(s, step.ratio, step.jumping);
        const Mask solved = here.solve(wanted, step.jumping, task_.iterations);
        here.keep_stage(s);
        here.store(rows.flows + s * charges_of(plan));
        return solved;
    }

    void add_surges(Side which, const L& surge, OneSide& here) {
        if (!any(abs(surge) > L(0.0))) return;
        const WaveSidePlan& plan = plan_.side(which);
        for (std::size_t k = 0; k < plan.surges.size(); ++k) {
            const SurgePlan& s = plan.surges.data()[k];
            const Gap& gap = plan_.rest.gaps.data()[s.gap];
            L share(1.0);
            const L base = gap.base_share ? value_(*gap.base_share) : L(0.0);
            if (s.share == SurgePlan::Share::base) share = base;
            if (s.share == SurgePlan::Share::rest) share = 1.0 - base;
            here.inject(s.node, surge * value_(*gap.capacitance) * share * s.sign);
        }
    }

    void find_light() {
        const std::size_t unknowns = plan_.input.elimination.unknowns + 1;
        for (std::size_t g = 0; g < plan_.rest.gaps.size(); ++g) {
            const L current = rows_[0].x[unknowns + 2 * plan_.rest.emitters.data()[g]];
            light_[g] =
                light_of_life(plan_.rest.gaps.data()[g], value_, around_, current, rest_.left(g));
        }
    }

    // A cell's rate is a straight line towards more light and a parabola towards less: its stage is
    // solved exactly.
    void solve_cells(std::size_t s, const Step& step) {
        const WaveSidePlan& plan = plan_.output;
        WaveSideRows<Arch>& rows = rows_[1];
        const L reach = step.length * one_step::diagonal;
        for (std::size_t c = 0; c < plan.cells.size(); ++c) {
            const LightResistorElement& e = cell_element(c);
            const std::size_t q = first_cell(plan) + c;
            const LightResistor<L> card = card_of(e);
            const L wanted = lit_conductance(card, light_[to_index(e.lit_by)]);
            const L hat = maximum(rows.hat[q], L(0.0));
            const L rise = reach / value_(*e.response.rise_time);
            const L decay = reach / value_(*e.response.decay_time);
            const L rising = (hat + rise * wanted) / (rise + 1.0);
            const L falling = (hat + decay * wanted) / (decay + 1.0);
            const L bend = decay * card.resistance;
            const L line = 1.0 - bend * wanted;
            const L root = sqrt(line * line + bend * hat * 4.0);
            // Of the root's two forms the one that adds.
            const L slow =
                choose(line > L(0.0), hat * 2.0 / (line + root), (root - line) / (bend * 2.0));
            const L down = choose(falling * card.resistance < L(1.0), slow, falling);
            const L lit = choose(hat <= wanted, rising, down);
            rows.last[q] = lit;
            rows.flows[s * charges_of(plan) + q] = step.per * (lit - rows.hat[q]);
        }
    }

    OneSide side_at(Side which, const L& per) {
        OneSide here = side(which);
        here.at(per);
        return here;
    }

    static std::size_t index(Side side) { return side == Side::input ? 0 : 1; }
    static std::size_t charges_of(const WaveSidePlan& plan) {
        std::size_t count = plan.capacitances.size() + plan.windings.size() + plan.cells.size();
        for (std::size_t k = 0; k < plan.device_charges.size(); ++k) {
            count += plan.device_charges.data()[k].charges;
        }
        return count;
    }
    L figure(std::size_t row) const { return L::load(task_.specimens + row * width); }
    OneSide side(Side which) { return {plan_.side(which), rows_[index(which)], value_}; }
    std::size_t first_cell(const WaveSidePlan& plan) const {
        return charges_of(plan) - plan.cells.size();
    }
    const LightResistorElement& cell_element(std::size_t cell) const {
        const WaveSidePlan& plan = plan_.output;
        return *plan.branches.data()[plan.cells.data()[cell].branch].light_resistor;
    }

    void copy_currents_at_rest() {
        for (const Side which : {Side::input, Side::output}) {
            const std::size_t unknowns = plan_.side(which).elimination.unknowns + 1;
            const L* from = rest_.solved(which, plan_.from);
            for (std::size_t d = 0; d < 2 * plan_.side(which).devices.size(); ++d) {
                rows_[index(which)].x[unknowns + d] = from[unknowns + d];
            }
        }
    }

    L lit_at_rest(std::size_t cell, std::size_t state) {
        const LightResistorElement& e = cell_element(cell);
        return lit_conductance(card_of(e), rest_.light(state, to_index(e.lit_by)));
    }
    LightResistor<L> card_of(const LightResistorElement& e) const {
        return {.resistance = value_(e.card.resistance),
                .illuminance = value_(e.card.illuminance),
                .gamma = value_(e.card.gamma),
                .dark_resistance = value_(e.card.dark_resistance)};
    }

    void measure_sizes(Side which) {
        const WaveSidePlan& plan = plan_.side(which);
        L voltage(1e-3);
        for (std::size_t s = 0; s < plan_.rest.states(); ++s) {
            const L* x = rest_.solved(which, s);
            for (std::size_t n = 1; n < plan.nodes; ++n) voltage = maximum(voltage, abs(x[n]));
        }
        voltages_[index(which)] = voltage;
        for (std::size_t w = 0; w < plan.windings.size(); ++w) {
            const Index16 row = plan.branches.data()[plan.windings.data()[w].branch].row;
            L largest(least_winding_current);
            for (std::size_t s = 0; s < plan_.rest.states(); ++s) {
                largest = maximum(largest, abs(rest_.solved(which, s)[row]));
            }
            winding_sizes_[index(which)][w] = largest;
        }
        for (std::size_t c = 0; c < plan.cells.size(); ++c) {
            L largest(0.0);
            for (std::size_t s = 0; s < plan_.rest.states(); ++s) {
                largest = maximum(largest, lit_at_rest(c, s));
            }
            cell_sizes_[index(which)][c] = largest;
        }
    }

    L read(const ProbePlan& probe, const L* from) const {
        return probe_value(probe, plan_.ports.data(), plan_.shares.data(), from);
    }

    const WaveTask& task_;
    const WavePlan& plan_;
    Figures value_;
    LaneTask rest_task_;
    GroupSolver<Arch> rest_;
    ConditionsOf<L> around_;
    WaveSideRows<Arch> rows_[2];
    L voltages_[2];  // by side: the largest at rest, V
    L* winding_sizes_[2] = {nullptr, nullptr};
    L* cell_sizes_[2] = {nullptr, nullptr};
    L* light_ = nullptr;
    L* moving_ = nullptr;
};

}  // namespace gapwright
