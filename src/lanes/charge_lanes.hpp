// What one device stores, in lanes: its charges' tangents at the device's control voltages.
// Included only by the kernels' files.
#pragma once

#include <cstddef>
#include <optional>

#include "circuit/index.hpp"
#include "device/charge.hpp"
#include "device/dual.hpp"
#include "lanes/device_lanes.hpp"
#include "lanes/plan.hpp"
#include "lanes/wave_plan.hpp"

namespace gapwright {

// Rows of the scratch memory.
template <class Arch>
struct ChargeRows {
    using L = Lanes<Arch>;

    L figure[4];    // of the card
    L offset[2];    // by charge: the tangent's at no control voltage
    L slope[2][2];  // by charge and control
};

template <class Arch>
class ChargeLanes {
    using L = Lanes<Arch>;
    using Dual1 = Dual<L, 1>;
    using Dual2 = Dual<L, 2>;

  public:
    ChargeLanes(const DeviceChargePlan& plan, const DevicePlan& device,
                const DeviceRows<Arch>& device_rows, ChargeRows<Arch>& rows)
        : plan_(plan), device_(device), device_rows_(device_rows), rows_(rows) {}

    template <class Values>
    void prepare(const Values& value) {
        const auto figure = [&](const std::optional<Slot>& slot) {
            return slot ? value(*slot) : L(0.0);
        };
        if (plan_.charges == 1) {
            rows_.figure[0] = figure(plan_.junction.capacitance);
            rows_.figure[1] = figure(plan_.junction.transit_time);
            return;
        }
        rows_.figure[0] = figure(plan_.transistor.base_emitter_capacitance);
        rows_.figure[1] = figure(plan_.transistor.base_collector_capacitance);
        rows_.figure[2] = figure(plan_.transistor.transit_time);
        rows_.figure[3] = figure(plan_.transistor.reverse_transit_time);
    }

    // The tangents of the device's currents and charges at its control voltages.
    void look(DeviceLanes<Arch> device) {
        const L* v = device_rows_.control;
        const L* f = rows_.figure;
        if (plan_.charges == 1) {
            const Dual1 voltage = Dual1::variable(v[0], 0);
            const Dual1 current = junction_current(device.template law<JunctionAt<L>>(), voltage);
            device.take(current);
            const Dual1 q = junction_charge(JunctionCharge<L>{f[0], f[1]}, current, voltage);
            rows_.offset[0] = minus_product(q.value, q.slope[0], v[0]);
            rows_.slope[0][0] = q.slope[0];
            return;
        }
        const auto& law = device.template law<TransistorAt<L>>();
        const Dual2 emitter = Dual2::variable(v[0], 0);
        const Dual2 collector = Dual2::variable(v[1], 1);
        const auto injection = transistor_injection(law, emitter, collector);
        const auto currents = transistor_currents(law, injection, emitter);
        device.take(0, currents.collector);
        device.take(1, currents.base);
        const auto q = transistor_charges(TransistorCharge<L>{f[0], f[1], f[2], f[3]}, injection,
                                          emitter, collector);
        take(0, q.base_emitter, v);
        take(1, q.base_collector, v);
    }

    // By the tangent, at the unknowns, C.
    L charge(std::size_t which, const L* x) const {
        L sum = rows_.offset[which];
        for (std::size_t c = 0; c < device_.controls; ++c) {
            sum = sum + rows_.slope[which][c] * control_voltage(c, x);
        }
        return sum;
    }

    // Where a charge lies: from `plus` to `minus`.
    IndexPair nodes(std::size_t which) const {
        return plan_.charges == 1 ? device_.flow[0] : device_.control[which];
    }

    // Adds the charges' tangents, times `per`, to the device's own: a transistor's second charge
    // flows from base to collector, which is its base current less its main one.
    void add_to(const L& per, L (&tangent)[2], L (&slope)[2][2]) const {
        if (plan_.charges == 1) {
            tangent[0] = tangent[0] + per * rows_.offset[0];
            slope[0][0] = slope[0][0] + per * rows_.slope[0][0];
            return;
        }
        tangent[0] = tangent[0] - per * rows_.offset[1];
        tangent[1] = tangent[1] + per * (rows_.offset[0] + rows_.offset[1]);
        for (std::size_t c = 0; c < 2; ++c) {
            slope[0][c] = slope[0][c] - per * rows_.slope[1][c];
            slope[1][c] = slope[1][c] + per * (rows_.slope[0][c] + rows_.slope[1][c]);
        }
    }

  private:
    L control_voltage(std::size_t c, const L* x) const {
        return x[device_.control[c].plus] - x[device_.control[c].minus];
    }
    void take(std::size_t which, const Dual2& q, const L* v) {
        rows_.offset[which] =
            minus_product(minus_product(q.value, q.slope[0], v[0]), q.slope[1], v[1]);
        rows_.slope[which][0] = q.slope[0];
        rows_.slope[which][1] = q.slope[1];
    }

    const DeviceChargePlan& plan_;
    const DevicePlan& device_;
    const DeviceRows<Arch>& device_rows_;
    ChargeRows<Arch>& rows_;
};

}  // namespace gapwright
