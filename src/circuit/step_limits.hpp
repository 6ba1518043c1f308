// How far one step of Newton's method may move a junction's voltage: written once for a single
// specimen and for lanes of specimens. Internal to the layers that solve.
#pragma once

#include <cmath>
#include <numbers>

#include "device/number.hpp"

namespace gapwright {

// The voltage at which a junction's conductance times its slope voltage equals that voltage.
template <class Real>
Real junction_knee(const Real& saturation_current, const Real& slope) {
    using std::log;
    return slope * log(slope / (saturation_current * std::numbers::sqrt2));
}

// A rise beyond the knee of an exponential is taken on a logarithmic scale: the linear solution
// speaks of a current, last·(1 + step/slope), and the voltage goes to where that current flows.
template <class Real>
Real limit_rise(const Real& last, const Real& wanted, const Real& knee, const Real& slope) {
    using std::log;
    const Real base = maximum(last, knee);
    const Real beyond = maximum((wanted - base) / slope, Real(1.0));
    return choose(wanted > base + slope, base + slope * (1.0 + log(beyond)), wanted);
}

inline constexpr double noticed_fall = -0.5;  // of the slope; smaller falls are taken whole

// The same for falls as well, which else take one slope a step: for a junction alone. (A
// transistor's two junctions share a node; moved apart by this they would chase each other.)
template <class Real>
Real limit_step(const Real& last, const Real& wanted, const Real& knee, const Real& slope) {
    using std::log;
    constexpr double least = 1e-9;  // of the current, in one step
    const Real fall = (wanted - last) / slope;
    const Real by_current = last + slope * log(maximum(1.0 + fall, Real(least)));
    // Never past the voltage without current, unless the solution itself is there.
    const Real fallen = maximum(minimum(by_current, wanted), minimum(wanted, Real(0.0)));
    const Real risen = limit_rise(last, wanted, knee, slope);
    const Real from_conduction = choose(last > slope, fallen, risen);
    return choose(fall < Real(noticed_fall), from_conduction, risen);
}

}  // namespace gapwright
