// Device laws over intervals: bounds of currents and of their slopes. Internal to the layer.
#pragma once

#include <array>
#include <cstddef>

#include "circuit/prepared.hpp"
#include "device/interval.hpp"
#include "device/junction.hpp"
#include "device/leakage.hpp"
#include "device/mosfet.hpp"
#include "device/secant.hpp"
#include "device/transistor.hpp"

namespace gapwright::prepared {

// The currents of a device, main and base, and their slopes to its control voltages.
struct Tangent {
    std::array<Interval, 2> value{};                 // A
    std::array<std::array<Interval, 2>, 2> slope{};  // S, by current and control voltage
};

// Bounds of the currents where control voltages are `at`, without photocurrent, and of the slopes
// from there to anywhere in `over`.
struct TangentOver {
    const std::array<Interval, 2>& at;
    const std::array<Interval, 2>& over;

    Tangent operator()(const SourceOf<Interval>&) const { return {}; }
    Tangent operator()(const PhotocurrentOf<Interval>&) const { return {}; }
    Tangent operator()(const DiodeOf<Interval>& e) const {
        return one(junction_current(e.law, control<1>(0)));
    }
    Tangent operator()(const BreakdownOf<Interval>& e) const {
        return one(breakdown_current(e.law, control<1>(0)));
    }
    Tangent operator()(const LeakOf<Interval>& e) const {
        return one(leakage_current(e.current, control<1>(0)));
    }
    Tangent operator()(const BipolarOf<Interval>& e) const {
        const auto c = transistor_currents(e.law, control<2>(0), control<2>(1));
        return {.value = {c.collector.at, c.base.at}, .slope = {c.collector.slope, c.base.slope}};
    }
    Tangent operator()(const FieldEffectOf<Interval>& e) const {
        const Secant<2> i = drain_current(e.law, control<2>(0), control<2>(1));
        return {.value = {i.at, {}}, .slope = {i.slope, {}}};
    }

    template <std::size_t N>
    Secant<N> control(std::size_t k) const {
        return Secant<N>::variable(at[k], over[k], k);
    }
    static Tangent one(const Secant<1>& i) {
        Tangent result;
        result.value[0] = i.at;
        result.slope[0][0] = i.slope[0];
        return result;
    }
};

}  // namespace gapwright::prepared
