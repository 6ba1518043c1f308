// One side at one stage of a step in time, in lanes. Included only by the kernels' files.
#pragma once

#include <cstddef>
#include <cstdint>

#include "circuit/element_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "device/charge.hpp"
#include "device/light.hpp"
#include "lanes/charge_lanes.hpp"
#include "lanes/device_lanes.hpp"
#include "lanes/elimination.hpp"
#include "lanes/lane_elimination.hpp"
#include "lanes/number.hpp"
#include "lanes/one_step.hpp"
#include "lanes/plan.hpp"
#include "lanes/wave_plan.hpp"

namespace gapwright {

template <class Arch>
struct WaveSideRows {
    using L = Lanes<Arch>;

    DeviceRows<Arch>* devices = nullptr;
    ChargeRows<Arch>* charged = nullptr;  // by device charge
    L* entries = nullptr;                 // after the constant steps
    L* right = nullptr;
    L* live_entries = nullptr;  // of the iteration under way
    L* live_right = nullptr;
    L* reciprocals = nullptr;  // of pivots
    L* x = nullptr;            // the unknowns, then two currents a device
    L* accepted = nullptr;     // the unknowns at the beginning of the step
    L* correction = nullptr;   // the unknowns' error
    L* staged = nullptr;       // by stage: the unknowns
    L* trend = nullptr;        // how the unknowns moved in the last quarter of the step before
    L* stored = nullptr;       // by charge, at the beginning of the step
    L* hat = nullptr;          // by charge: what a stage has before its own current
    L* flows = nullptr;        // by stage and charge: the current into it
    L* last = nullptr;         // by charge, at the stage
};

template <class Arch, class Values>
class WaveSide {
    using L = Lanes<Arch>;
    using Mask = typename L::Mask;
    using Kind = DevicePlan::Kind;

    // A step of an iteration that moves no control voltage further is the last: the next would move
    // it by the square of this over the thermal voltage.
    static constexpr double relative_tolerance = 1e-6;
    static constexpr double absolute_tolerance = 1e-5;  // V
    static constexpr int usual_iterations = 12;
    static constexpr int most_iterations = 60;  // of what jumps

  public:
    WaveSide(const WaveSidePlan& plan, WaveSideRows<Arch>& rows, const Values& value)
        : plan_(plan), rows_(rows), value_(value) {}

    void prepare(const L& temperature) {
        const Element* elements = plan_.network->elements.data();
        for (std::size_t d = 0; d < plan_.devices.size(); ++d) {
            device(d).prepare(elements[plan_.devices.data()[d].element], value_, temperature);
        }
        for (std::size_t k = 0; k < plan_.device_charges.size(); ++k) charge(k).prepare(value_);
    }

    // Stands at the unknowns of a point at rest.
    void stand_at(const L* unknowns) {
        for (std::size_t k = 0; k <= plan_.elimination.unknowns; ++k) {
            rows_.x[k] = rows_.accepted[k] = unknowns[k];
            rows_.trend[k] = L(0.0);
        }
        stand_at_beginning();
        look();
        note_currents();
        charges(rows_.stored, nullptr);
    }

    void stand_at_beginning() {
        for (std::size_t d = 0; d < plan_.devices.size(); ++d) device(d).stand(rows_.accepted);
    }

    // Begins a stage's iteration where the stages before it lead; `ratio` of the step to the one
    // before. What jumps leads nowhere: it begins where the stage before ended.
    void guess(std::size_t stage, const L& ratio, const Mask& jumping) {
        const std::size_t count = plan_.elimination.unknowns + 1;
        const double* weights = one_step::guesses[stage];
        L* guessed = rows_.correction;
        for (std::size_t k = 0; k < count; ++k) {
            L sum = rows_.accepted[k] * weights[0];
            for (std::size_t s = 0; s < stage; ++s) {
                if (weights[s + 1] != 0) sum = sum + rows_.staged[s * count + k] * weights[s + 1];
            }
            if (stage == 0) sum = sum + rows_.trend[k] * ratio;
            const L& last = stage == 0 ? rows_.accepted[k] : rows_.staged[(stage - 1) * count + k];
            guessed[k] = choose(jumping, last, sum);
        }
        for (std::size_t d = 0; d < plan_.devices.size(); ++d) device(d).stand(guessed);
    }
    void keep_stage(std::size_t stage) {
        const std::size_t count = plan_.elimination.unknowns + 1;
        for (std::size_t k = 0; k < count; ++k) rows_.staged[stage * count + k] = rows_.x[k];
    }

    // 1/(γ·step) of the stage.
    void at(const L& per) { per_ = per; }

    // The linear part of a stage but for movers and windings, which follow in this order; `light`
    // is that of the gaps.
    void begin(const L* light) {
        fill(light);
        add_charges();
    }

    // In place of what the figures say: of a mover, now.
    void set(const MoverPlan& mover, const L& voltage, const L& resistance) {
        if (mover.leak) {
            device(mover.place).leak(resistance);
            return;
        }
        const BranchPlan& b = plan_.branches.data()[mover.place];
        rows_.right[b.row] = -voltage;
        rows_.entries[b.resistance_entry] = -resistance;
    }
    void set_cell(std::size_t cell, const L& conductance) {
        const BranchPlan& b = plan_.branches.data()[plan_.cells.data()[cell].branch];
        const auto& card = b.light_resistor->card;
        rows_.entries[b.resistance_entry] =
            -(L(1.0) / (conductance + L(1.0) / value_(card.dark_resistance)));
    }
    void add_windings() {
        std::size_t q = first_winding();
        for (const auto* w = plan_.windings.data(); w != end(plan_.windings); ++w, ++q) {
            const BranchPlan& b = plan_.branches.data()[w->branch];
            const L per = winding_per(*w);
            L& entry = rows_.entries[b.resistance_entry];
            entry = entry - value_(w->inductance) * per;
            rows_.right[b.row] = rows_.right[b.row] - rows_.hat[q] * per;
        }
    }
    // Into a node.
    void inject(Index16 node, const L& current) { rows_.right[node] = rows_.right[node] + current; }

    // Returns the lanes whose iteration came to its end; waits for those of `wanted` as long as
    // each may take. A lane that has arrived stays where it is, whatever its neighbours still need.
    Mask solve(const Mask& wanted, const Mask& patient, std::uint32_t* iterations) {
        const Elimination& e = plan_.elimination;
        eliminate(e, e.constant_steps.data(), e.constant_steps.size(), rows_.entries, rows_.right,
                  rows_.reciprocals);
        const Index16* live = e.live_entries.data();
        for (std::size_t k = 0; k < e.live_entries.size(); ++k) {
            rows_.live_entries[live[k]] = rows_.entries[live[k]];
        }
        Mask arrived = Mask(false);
        Mask waiting = wanted;
        for (int k = 0; k < most_iterations; ++k) {
            if (k == usual_iterations) waiting = waiting & patient;
            if (iterations) ++*iterations;
            iterate();
            Mask there = Mask(true);
            for (std::size_t d = 0; d < plan_.devices.size(); ++d) {
                there = there & device(d).arrived(rows_.x, relative_tolerance, absolute_tolerance);
            }
            arrived = arrived | (there & waiting);
            waiting = waiting & !there;
            if (!any(waiting)) break;
            for (std::size_t d = 0; d < plan_.devices.size(); ++d) {
                device(d).move(rows_.x, waiting);
            }
        }
        substitute(e, e.constant_steps.data(), e.constant_steps.size(), rows_.entries, rows_.right,
                   rows_.reciprocals, rows_.x);
        note_currents();
        return arrived;
    }

    // What is stored at the stage's solution, and what flows into it. Cells are no part of it.
    void store(L* flows) { charges(rows_.last, flows); }

    // The unknowns' error from that of the charges, C, in rows_.hat: what the stage's linear system
    // makes of it.
    void correct() {
        const Elimination& e = plan_.elimination;
        L* right = rows_.live_right;
        for (std::size_t k = 0; k <= e.unknowns; ++k) right[k] = L(0.0);
        const auto flow = [&](IndexPair nodes, const L& current) {
            right[nodes.plus] = right[nodes.plus] + current;
            right[nodes.minus] = right[nodes.minus] - current;
        };
        const L* error = rows_.hat;
        std::size_t q = 0;
        for (const auto* c = plan_.capacitances.data(); c != end(plan_.capacitances); ++c) {
            flow(c->nodes, per_ * error[q++]);
        }
        for (std::size_t k = 0; k < plan_.device_charges.size(); ++k) {
            const std::size_t count = plan_.device_charges.data()[k].charges;
            for (std::size_t w = 0; w < count; ++w) flow(charge(k).nodes(w), per_ * error[q++]);
        }
        for (std::size_t k = 0; k < plan_.windings.size(); ++k) {
            const WindingPlan& w = plan_.windings.data()[k];
            right[plan_.branches.data()[w.branch].row] = -(error[q++] * winding_per(w));
        }
        const std::size_t constant = e.constant_steps.size();
        carry(e, e.constant_steps.data(), constant, rows_.entries, rows_.reciprocals, right);
        carry(e, e.changing_steps.data(), e.changing_steps.size(), rows_.live_entries,
              rows_.reciprocals + constant, right);
        substitute(e, e.changing_steps.data(), e.changing_steps.size(), rows_.live_entries, right,
                   rows_.reciprocals + constant, rows_.correction);
        substitute(e, e.constant_steps.data(), constant, rows_.entries, right, rows_.reciprocals,
                   rows_.correction);
    }

  private:
    using Device = DeviceLanes<Arch>;

    template <class List>
    static auto end(const List& list) {
        return list.data() + list.size();
    }

    Device device(std::size_t d) const { return {plan_.devices.data()[d], rows_.devices[d]}; }
    ChargeLanes<Arch> charge(std::size_t k) const {
        const DeviceChargePlan& plan = plan_.device_charges.data()[k];
        return {plan, plan_.devices.data()[plan.device], rows_.devices[plan.device],
                rows_.charged[k]};
    }

    void fill(const L* light) {
        const MatrixEntry* entries = plan_.elimination.entries.data();
        for (std::size_t k = 0; k < plan_.elimination.entries.size(); ++k) {
            rows_.entries[k] = L(entries[k].constant);
        }
        for (std::size_t k = 0; k <= plan_.elimination.unknowns; ++k) rows_.right[k] = L(0.0);
        for (const auto* b = plan_.branches.data(); b != end(plan_.branches); ++b) {
            if (b->voltage) rows_.right[b->row] = -value_(*b->voltage);
            if (b->resistance) rows_.entries[b->resistance_entry] = -value_(*b->resistance);
            if (b->light_resistor) {
                rows_.entries[b->resistance_entry] = -resistance_at(
                    *b->light_resistor, value_, light[to_index(b->light_resistor->lit_by)]);
            }
        }
        for (std::size_t d = 0; d < plan_.devices.size(); ++d) {
            const DevicePlan& which = plan_.devices.data()[d];
            if (which.kind != Kind::photocurrent) continue;
            device(d).carry(light[*which.gap]);
            inject(which.flow[0].plus, -light[*which.gap]);
            inject(which.flow[0].minus, light[*which.gap]);
        }
    }

    std::size_t first_winding() const {
        std::size_t count = plan_.capacitances.size();
        for (std::size_t k = 0; k < plan_.device_charges.size(); ++k) {
            count += plan_.device_charges.data()[k].charges;
        }
        return count;
    }

    L capacitance(const CapacitancePlan& c) const { return c.slot ? value_(*c.slot) : L(c.fixed); }

    // 1/(γ·step + loss time): what a winding's flux over it is its voltage.
    L winding_per(const WindingPlan& w) const {
        if (w.rings == 0) return per_;
        const L loss_time = sqrt(value_(w.inductance) * w.rings) / winding_quality;
        return per_ / (per_ * loss_time + L(1.0));
    }

    void add_charges() {
        std::size_t q = 0;
        for (const auto* c = plan_.capacitances.data(); c != end(plan_.capacitances); ++c, ++q) {
            const L conductance = capacitance(*c) * per_;
            for (std::size_t k = 0; k < 2; ++k) {
                L& added = rows_.entries[c->added[k]];
                added = added + conductance;
                L& taken = rows_.entries[c->taken[k]];
                taken = taken - conductance;
            }
            inject(c->nodes.plus, per_ * rows_.hat[q]);
            inject(c->nodes.minus, -(per_ * rows_.hat[q]));
        }
        for (std::size_t k = 0; k < plan_.device_charges.size(); ++k) {
            const std::size_t count = plan_.device_charges.data()[k].charges;
            for (std::size_t w = 0; w < count; ++w, ++q) {
                const IndexPair nodes = charge(k).nodes(w);
                inject(nodes.plus, per_ * rows_.hat[q]);
                inject(nodes.minus, -(per_ * rows_.hat[q]));
            }
        }
    }

    // Calls own(device) or charged(device, charge), as they stand in their order.
    template <class Own, class Charged>
    void each_device(const Own& own, const Charged& charged) {
        std::size_t k = 0;
        for (std::size_t d = 0; d < plan_.devices.size(); ++d) {
            if (plan_.devices.data()[d].kind == Kind::photocurrent) continue;
            if (k < plan_.device_charges.size() && plan_.device_charges.data()[k].device == d) {
                charged(d, k++);
            } else {
                own(d);
            }
        }
    }

    void look() {
        each_device([&](std::size_t d) { device(d).look(); },
                    [&](std::size_t d, std::size_t k) { charge(k).look(device(d)); });
    }

    void iterate() {
        const Elimination& e = plan_.elimination;
        const Index16* spoilt = e.spoilt_entries.data();
        for (std::size_t k = 0; k < e.spoilt_entries.size(); ++k) {
            rows_.live_entries[spoilt[k]] = rows_.entries[spoilt[k]];
        }
        const Index16* live = e.live_rows.data();
        for (std::size_t k = 0; k < e.live_rows.size(); ++k) {
            rows_.live_right[live[k]] = rows_.right[live[k]];
        }
        look();
        each_device([&](std::size_t d) { device(d).stamp(rows_.live_entries, rows_.live_right); },
                    [&](std::size_t d, std::size_t k) {
                        const DeviceRows<Arch>& own = rows_.devices[d];
                        L tangent[2] = {own.tangent[0], own.tangent[1]};
                        L slope[2][2] = {{own.slope[0][0], own.slope[0][1]},
                                         {own.slope[1][0], own.slope[1][1]}};
                        charge(k).add_to(per_, tangent, slope);
                        device(d).stamp(tangent, slope, rows_.live_entries, rows_.live_right);
                    });
        const PivotStep* steps = e.changing_steps.data();
        const std::size_t count = e.changing_steps.size();
        L* reciprocals = rows_.reciprocals + e.constant_steps.size();
        eliminate(e, steps, count, rows_.live_entries, rows_.live_right, reciprocals);
        substitute(e, steps, count, rows_.live_entries, rows_.live_right, reciprocals, rows_.x);
    }

    void note_currents() {
        L* currents = rows_.x + plan_.elimination.unknowns + 1;
        for (std::size_t d = 0; d < plan_.devices.size(); ++d) {
            currents[2 * d + 1] = L(0.0);
            for (std::size_t f = 0; f < plan_.devices.data()[d].flows; ++f) {
                currents[2 * d + f] = device(d).current(f, rows_.x);
            }
        }
    }

    // Charges at x into `stored`, and the currents into them into `flows`, where wanted.
    void charges(L* stored, L* flows) {
        const L* x = rows_.x;
        std::size_t q = 0;
        const auto note = [&](const L& charge) {
            stored[q] = charge;
            if (flows) flows[q] = per_ * (charge - rows_.hat[q]);
            ++q;
        };
        for (const auto* c = plan_.capacitances.data(); c != end(plan_.capacitances); ++c) {
            note(capacitance(*c) * (x[c->nodes.plus] - x[c->nodes.minus]));
        }
        for (std::size_t k = 0; k < plan_.device_charges.size(); ++k) {
            const std::size_t count = plan_.device_charges.data()[k].charges;
            for (std::size_t w = 0; w < count; ++w) note(charge(k).charge(w, x));
        }
        for (const auto* w = plan_.windings.data(); w != end(plan_.windings); ++w) {
            const L flux = value_(w->inductance) * x[plan_.branches.data()[w->branch].row];
            if (!flows) {
                stored[q++] = flux;
                continue;
            }
            flows[q] = winding_per(*w) * (flux - rows_.hat[q]);
            stored[q] = rows_.hat[q] + flows[q] / per_;
            ++q;
        }
    }

    const WaveSidePlan& plan_;
    WaveSideRows<Arch>& rows_;
    const Values& value_;
    L per_{0.0};
};

}  // namespace gapwright
