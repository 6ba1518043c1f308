// A leakage current that is stated as a figure and not as a resistance: a logic input's, or that of
// an open contact that is really a two-wire sensor.
#pragma once

#include <cmath>

namespace gapwright {

// The stated current for any voltage beyond about half a volt, falling smoothly to zero at no
// voltage, so that a leak never drives a circuit by itself: i = I·tanh(v / 50 mV). `voltage` in V,
// `stated` in A. Own choice (the form of two opposed junctions); within 1e-8 of I from 0.5 V up.
template <class Voltage, class Real>
Voltage leakage_current(const Real& stated, const Voltage& voltage) {
    using std::tanh;
    return tanh(voltage / 0.05) * stated;
}

}  // namespace gapwright
