// One device in lanes: its law, its tangent, and how far a step may move it. Included only by the
// kernels' files.
#pragma once

#include <array>
#include <cstddef>
#include <variant>
#include "circuit/element_laws.hpp"
#include "circuit/network.hpp"
#include "circuit/step_limits.hpp"
#include "device/dual.hpp"
#include "device/junction.hpp"
#include "device/leakage.hpp"
#include "device/mosfet.hpp"
#include "device/transistor.hpp"
#include "lanes/number.hpp"
#include "lanes/plan.hpp"
#include "lanes/start_voltage.hpp"

namespace gapwright {

// What a device carries through the iteration. Rows of the scratch memory.
template <class Arch>
struct DeviceRows {
    using L = Lanes<Arch>;
    static constexpr std::size_t of_law = 9;

    L law[of_law];
    L control[2];   // voltages at which the law was last looked at
    L tangent[2];   // by flow: the tangent's current at no control voltage
    L slope[2][2];  // by flow and control
};

template <class Arch>
class DeviceLanes {
    using L = Lanes<Arch>;
    using Mask = typename L::Mask;
    using Dual1 = Dual<L, 1>;
    using Dual2 = Dual<L, 2>;
    using Kind = DevicePlan::Kind;

    // A step that moves no control voltage further than this is the last: the next would move it by
    // about the square of this over the thermal voltage.
    static constexpr double relative_tolerance = 1e-8;
    static constexpr double absolute_tolerance = 1e-10;  // V
    static constexpr double small_step = 5e-3;   // V, against a thermal voltage of 19 mV and more
    static constexpr double no_current = 1e-16;  // A
    static constexpr double most_rise = 3.0;     // of a start, in thermal voltages (own choice)

  public:
    DeviceLanes(const DevicePlan& plan, DeviceRows<Arch>& rows) : plan_(plan), rows_(rows) {}

    // The law at the specimens' temperatures. A leak's may differ from state to state.
    template <class Values>
    void prepare(const Element& element, const Values& value, const L& temperature) {
        switch (plan_.kind) {
            case Kind::junction:
                law<JunctionAt<L>>() =
                    law_at(*std::get_if<JunctionElement>(&element), value, temperature);
                break;
            case Kind::breakdown:
                law<BreakdownAt<L>>() =
                    law_at(*std::get_if<BreakdownElement>(&element), value, temperature);
                break;
            case Kind::transistor:
                law<TransistorAt<L>>() =
                    law_at(*std::get_if<TransistorElement>(&element), value, temperature);
                break;
            case Kind::mosfet:
                law<MosfetAt<L>>() =
                    law_at(*std::get_if<MosfetElement>(&element), value, temperature);
                break;
            case Kind::leakage:
                law<L>() = value(std::get_if<LeakageElement>(&element)->current);
                break;
            case Kind::photocurrent:  // light alone says how large it is
                break;
        }
    }

    // Begins where each junction carries the current that it carried in the sample, times `light`:
    // a receiver's photocurrent against the sample's.
    void start(const std::array<ControlStart, 2>& sample, const L& light) {
        for (std::size_t c = 0; c < 2; ++c) {
            const ControlStart& from = sample[c];
            const bool conducts = from.current > 0;
            rows_.control[c] = conducts ? voltage_at(light * from.current, from) : L(from.voltage);
        }
    }

    // Moves a start by what a figure's difference from the sample is known to do.
    void shift(std::size_t control, const L& difference, double slope) {
        rows_.control[control] = rows_.control[control] + difference * slope;
    }

    // Takes back shifts that lead a transistor's junction far beyond the current of the sample, or
    // from blocking into conduction. Such slopes span two regions; from a volt too high a junction
    // comes down by one thermal voltage a step.
    void hold_back(const std::array<ControlStart, 2>& sample, const L& light) {
        if (plan_.kind != Kind::transistor) return;
        const L slope = law<TransistorAt<L>>().thermal_voltage;
        for (std::size_t c = 0; c < 2; ++c) {
            const ControlStart& from = sample[c];
            if (!any(rows_.control[c] > L(from.voltage) + slope)) continue;
            const L base = from.current > 0 ? voltage_at(light * from.current, from) : L(0.0);
            const L most = base + slope * most_rise;
            rows_.control[c] = minimum(rows_.control[c], most);
        }
    }

    // A photocurrent is what its light makes it, whatever the voltages.
    void carry(const L& current) { rows_.tangent[0] = current; }

    // The tangent at the control voltages.
    void look() {
        const L* c = rows_.control;
        switch (plan_.kind) {
            case Kind::junction:
                take(junction_current(law<JunctionAt<L>>(), Dual1::variable(c[0], 0)));
                break;
            case Kind::breakdown:
                take(breakdown_current(law<BreakdownAt<L>>(), Dual1::variable(c[0], 0)));
                break;
            case Kind::leakage:
                take(leakage_current(law<L>(), Dual1::variable(c[0], 0)));
                break;
            case Kind::mosfet:
                take(0, drain_current(law<MosfetAt<L>>(), Dual2::variable(c[0], 0),
                                      Dual2::variable(c[1], 1)));
                break;
            case Kind::transistor: {
                const auto currents = transistor_currents(
                    law<TransistorAt<L>>(), Dual2::variable(c[0], 0), Dual2::variable(c[1], 1));
                take(0, currents.collector);
                take(1, currents.base);
                break;
            }
            case Kind::photocurrent:
                break;
        }
    }

    template <class Law>
    Law& law() const {
        static_assert(sizeof(Law) <= DeviceRows<Arch>::of_law * sizeof(L));
        return *reinterpret_cast<Law*>(rows_.law);
    }

    const L& control(std::size_t c) const { return rows_.control[c]; }

    // The tangents of currents that were found at the control voltages.
    void take(const Dual1& current) {
        rows_.tangent[0] = minus_product(current.value, current.slope[0], rows_.control[0]);
        rows_.slope[0][0] = current.slope[0];
    }
    void take(std::size_t flow, const Dual2& current) {
        const L* c = rows_.control;
        rows_.tangent[flow] = minus_product(minus_product(current.value, current.slope[0], c[0]),
                                            current.slope[1], c[1]);
        rows_.slope[flow][0] = current.slope[0];
        rows_.slope[flow][1] = current.slope[1];
    }

    // A leak's current, where it changes on the way.
    void leak(const L& current) { law<L>() = current; }

    // Control voltages are those of the unknowns.
    void stand(const L* x) {
        for (std::size_t c = 0; c < plan_.controls; ++c) rows_.control[c] = control_voltage(c, x);
    }

    // Adds the tangent to the linear network.
    void stamp(L* entries, L* right) const { stamp(rows_.tangent, rows_.slope, entries, right); }
    void stamp(const L (&tangent)[2], const L (&slope)[2][2], L* entries, L* right) const {
        for (std::size_t f = 0; f < plan_.flows; ++f) {
            L& leaves = right[plan_.flow[f].plus];
            L& enters = right[plan_.flow[f].minus];
            leaves = leaves - tangent[f];
            enters = enters + tangent[f];
        }
        const Stamp* added = plan_.added.data();
        for (std::size_t k = 0; k < plan_.added.size(); ++k) {
            L& entry = entries[added[k].entry];
            entry = entry + slope[added[k].flow][added[k].control];
        }
        const Stamp* taken = plan_.taken.data();
        for (std::size_t k = 0; k < plan_.taken.size(); ++k) {
            L& entry = entries[taken[k].entry];
            entry = entry - slope[taken[k].flow][taken[k].control];
        }
    }

    // Control voltages follow the unknowns as far as limits allow. Returns the lanes in which they
    // have arrived.
    Mask move(const L* x) {
        Mask arrived = Mask(true);
        for (std::size_t c = 0; c < plan_.controls; ++c) {
            L& last = rows_.control[c];
            const L wanted = control_voltage(c, x);
            arrived = arrived & near(c, wanted, relative_tolerance, absolute_tolerance);
            last = limited(last, wanted);
        }
        return arrived;
    }
    // The same in two: the lanes in which they are there, and the moving of some.
    Mask arrived(const L* x, double relative, double absolute) const {
        Mask there = Mask(true);
        for (std::size_t c = 0; c < plan_.controls; ++c) {
            there = there & near(c, control_voltage(c, x), relative, absolute);
        }
        return there;
    }
    void move(const L* x, const Mask& some) {
        for (std::size_t c = 0; c < plan_.controls; ++c) {
            L& last = rows_.control[c];
            last = choose(some, limited(last, control_voltage(c, x)), last);
        }
    }

    // The current of a flow by the tangent, at the unknowns.
    L current(std::size_t flow, const L* x) const {
        L sum = rows_.tangent[flow];
        for (std::size_t c = 0; c < plan_.controls; ++c) {
            sum = sum + rows_.slope[flow][c] * control_voltage(c, x);
        }
        return sum;
    }

  private:
    L control_voltage(std::size_t c, const L* x) const {
        return x[plan_.control[c].plus] - x[plan_.control[c].minus];
    }

    // The sample's own voltage for a device without a junction.
    L voltage_at(const L& current, const ControlStart& sample) const {
        switch (plan_.kind) {
            case Kind::junction:
                return start_voltage(law<JunctionAt<L>>(), current);
            case Kind::transistor:
                return start_voltage(law<TransistorAt<L>>(), current);
            case Kind::breakdown:
                return start_voltage(law<BreakdownAt<L>>(), current);
            case Kind::mosfet:
            case Kind::leakage:
            case Kind::photocurrent:
                break;
        }
        return L(sample.voltage);
    }

    Mask near(std::size_t c, const L& wanted, double relative, double absolute) const {
        const L step = abs(wanted - rows_.control[c]);
        const Mask here = step <= abs(wanted) * relative + absolute;
        return all(here) ? here : here | blocked(c, step);
    }

    // Lanes in which the step is small and moves next to no current: a blocked device, whose
    // voltage is left to the rounding of volts elsewhere and may never come to rest.
    Mask blocked(std::size_t control, const L& step) const {
        Mask result = step <= L(small_step);
        for (std::size_t f = 0; f < plan_.flows; ++f) {
            result = result & (abs(rows_.slope[f][control]) * step <= L(no_current));
        }
        return result;
    }

    L limited(const L& last, const L& wanted) const {
        switch (plan_.kind) {
            case Kind::junction: {
                const auto& j = law<JunctionAt<L>>();
                return limited_step(last, wanted, L(0.0), j.saturation_current, j.slope_voltage);
            }
            case Kind::breakdown: {
                const auto& b = law<BreakdownAt<L>>();
                return limited_step(last, wanted, b.knee_voltage, b.knee_current, b.slope_voltage);
            }
            case Kind::transistor: {
                const auto& t = law<TransistorAt<L>>();
                // Steps of less than the slope are never limited: most often, all are such.
                if (!any(wanted > last + t.thermal_voltage)) return wanted;
                const L knee = junction_knee(t.transport_current, t.thermal_voltage);
                return limit_rise(last, wanted, knee, t.thermal_voltage);
            }
            case Kind::mosfet:
            case Kind::leakage:
            case Kind::photocurrent:
                break;
        }
        return wanted;
    }
    static L limited_step(const L& last, const L& wanted, const L& shift, const L& current,
                          const L& slope) {
        const Mask rises = wanted > last + slope;
        const Mask falls = wanted < last + slope * noticed_fall;
        if (!any(rises | falls)) return wanted;
        return limit_step(last, wanted, shift + junction_knee(current, slope), slope);
    }

    const DevicePlan& plan_;
    DeviceRows<Arch>& rows_;
};

}  // namespace gapwright
