// Where an iteration starts: the control voltage at which a specimen's junction carries the current
// that the sample's carried. Written once for the plan's doubles and the kernels' lanes.
#pragma once

#include "device/junction.hpp"
#include "device/transistor.hpp"

namespace gapwright {

template <class Real>
Real start_voltage(const JunctionAt<Real>& junction, const Real& current) {
    return junction_voltage(junction, current);
}

// Of the base–emitter or base–collector voltage: the current of that exponential alone.
template <class Real>
Real start_voltage(const TransistorAt<Real>& t, const Real& current) {
    return junction_voltage(JunctionAt<Real>{t.transport_current, t.thermal_voltage}, current);
}

template <class Real>
Real start_voltage(const BreakdownAt<Real>& b, const Real& current) {
    return b.knee_voltage + junction_voltage(JunctionAt<Real>{b.knee_current, b.slope_voltage},
                                             current - b.knee_current);
}

}  // namespace gapwright
