// The field-effect transistor with an insulated gate, from cut-off through weak inversion to the
// triode region in one expression (Enz, Krummenacher & Vittoz 1995, simplified form referred to the
// source). Written for n-channel; a p-channel one is its mirror. No gate current, no body diode.
#pragma once

#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/number.hpp"

namespace gapwright {

// A field-effect transistor at a temperature.
template <class Real>
struct MosfetAt {
    Mosfet<Real> card;
    Real threshold;        // V
    Real thermal_voltage;  // V
};

// V_th(T) = V_th + (dV_th/dT)(T − T0); temperature in kelvin.
template <class Real>
MosfetAt<Real> mosfet_at(const Mosfet<Real>& mosfet, const Real& temperature) {
    return {mosfet,
            mosfet.threshold + mosfet.threshold_slope * (temperature - reference_temperature),
            thermal_voltage(temperature)};
}

// The drain current, A; voltages from gate and drain to the source, V.
//   i_d = 2 n K V_T²·[ln²(1+e^{(v_gs−V_th)/(2 n V_T)}) − ln²(1+e^{(v_gs−V_th−n v_ds)/(2 n V_T)})]
//         ·(1+λ|v_ds|)
template <class Voltage, class Real>
Voltage drain_current(const MosfetAt<Real>& mosfet, const Voltage& gate_source,
                      const Voltage& drain_source) {
    const Mosfet<Real>& m = mosfet.card;
    const Real scale = m.slope_factor * mosfet.thermal_voltage * 2.0;
    const Voltage forward = log_one_plus_exponential((gate_source - mosfet.threshold) / scale);
    const Voltage reverse = log_one_plus_exponential(
        (gate_source - mosfet.threshold - drain_source * m.slope_factor) / scale);
    const Voltage modulation = maximum(drain_source, -drain_source) * m.channel_modulation + 1.0;
    // (a difference of squares would lose digits where both are nearly the same)
    return (forward - reverse) * (forward + reverse) * modulation *
           (scale * m.transconductance * mosfet.thermal_voltage);
}

}  // namespace gapwright
