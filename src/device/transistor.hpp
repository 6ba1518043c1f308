// The bipolar transistor, alone and as the receiver of a gap.
//
// Ebers & Moll 1954 with the charge-controlled gain of Gummel & Poon 1970 (Early effect and high
// injection in the base charge q_b). Written for npn; a pnp is its mirror: all voltages and
// currents change sign. The collector resistance is a resistor beside it in the circuit.
#pragma once

#include <cmath>

#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/number.hpp"

namespace gapwright {

inline constexpr double silicon_bandgap = 1.12;  // eV

// A transistor at a temperature, with what its law needs worked out as far as can be.
template <class Real>
struct TransistorAt {
    Real thermal_voltage;     // V
    Real transport_current;   // I_S, A
    Real emitter_diode;       // I_S/β, A
    Real collector_diode;     // I_S/β_R, A
    Real injection;           // I_S/I_K
    Real inverse_early;       // 1/V_A, 1/V
    Real leak_current;        // I_L, A
    Real inverse_leak_slope;  // 1/(n_L·V_T), 1/V
    Real inverse_thermal;     // 1/V_T, 1/V
};

// With X = (T/T0)^3·exp((q E_g/k)(1/T0 − 1/T)): I_S·X, I_L·X^{1/n_L}, β and β_R times
// (T/T0)^gain_exponent. Temperature in kelvin.
template <class Real>
TransistorAt<Real> transistor_at(const Transistor<Real>& transistor, const Real& temperature) {
    using std::exp;
    using std::log;
    const Real log_ratio = log(temperature * (1.0 / reference_temperature));
    const Real log_x =
        log_ratio * 3.0 + (1.0 / reference_temperature - 1.0 / temperature) *
                              (elementary_charge / boltzmann_constant * silicon_bandgap);
    const Real gain_factor = exp(log_ratio * transistor.gain_exponent);
    const Real transport = transistor.transport_current * exp(log_x);
    const Real slope = gapwright::thermal_voltage(temperature);
    return {.thermal_voltage = slope,
            .transport_current = transport,
            .emitter_diode = transport / (transistor.gain * gain_factor),
            .collector_diode = transport / (transistor.reverse_gain * gain_factor),
            .injection = transport / transistor.knee_current,
            .inverse_early = 1.0 / transistor.early_voltage,
            .leak_current = transistor.leak_current * exp(log_x / transistor.leak_ideality),
            .inverse_leak_slope = 1.0 / (transistor.leak_ideality * slope),
            .inverse_thermal = 1.0 / slope};
}

// Currents into the collector and base terminals, A.
template <class Voltage>
struct TransistorCurrents {
    Voltage collector;
    Voltage base;
};

// What one unit of injection carries of the main current, I_S/q_b, A: `forward` is e^{v_be/V_T}
// − 1.
template <class Voltage, class Real>
Voltage transport_per_injection(const TransistorAt<Real>& t, const Voltage& forward,
                                const Voltage& base_collector) {
    using std::sqrt;
    // 1/q1, so that nothing is divided by q1 and then again by its share of q_b.
    const Voltage early = -minimum(base_collector * t.inverse_early, Real(0.5)) + Real(1.0);
    const Voltage injection = (forward + Real(1.0)) * t.injection;
    const Voltage charge = sqrt(injection * Real(4.0) + Real(1.0)) + Real(1.0);  // 2 q_b/q1
    return early * (t.transport_current * 2.0) / charge;
}

// `base_emitter`, `base_collector`: voltages at the intrinsic terminals, V.
//   q1 = 1/(1 − v_bc/V_A), at most 2;  q2 = (I_S/I_K)·e^{v_be/V_T};  q_b = q1·(1+√(1+4 q2))/2
//   I_cc = I_S·(e^{v_be/V_T} − e^{v_bc/V_T})/q_b
//   I_be = (I_S/β)(e^{v_be/V_T}−1) + I_L(e^{v_be/(n_L V_T)}−1);  I_bc = (I_S/β_R)(e^{v_bc/V_T}−1)
//   i_c = I_cc − I_bc;  i_b = I_be + I_bc
template <class Voltage>
struct TransistorInjection {
    Voltage forward;   // e^{v_be/V_T} − 1
    Voltage reverse;   // e^{v_bc/V_T} − 1
    Voltage per_unit;  // transport_per_injection
};
template <class Voltage, class Real>
TransistorInjection<Voltage> transistor_injection(const TransistorAt<Real>& t,
                                                  const Voltage& base_emitter,
                                                  const Voltage& base_collector) {
    const Voltage forward = limited_exponential_minus_1(base_emitter * t.inverse_thermal);
    const Voltage reverse = limited_exponential_minus_1(base_collector * t.inverse_thermal);
    return {forward, reverse, transport_per_injection(t, forward, base_collector)};
}

template <class Voltage, class Real>
TransistorCurrents<Voltage> transistor_currents(const TransistorAt<Real>& t,
                                                const TransistorInjection<Voltage>& injection,
                                                const Voltage& base_emitter) {
    const Voltage transport = (injection.forward - injection.reverse) * injection.per_unit;
    const Voltage leak =
        limited_exponential_minus_1(base_emitter * t.inverse_leak_slope) * t.leak_current;
    const Voltage emitter_diode = injection.forward * t.emitter_diode + leak;
    const Voltage collector_diode = injection.reverse * t.collector_diode;
    return {transport - collector_diode, emitter_diode + collector_diode};
}

template <class Voltage, class Real>
TransistorCurrents<Voltage> transistor_currents(const TransistorAt<Real>& t,
                                                const Voltage& base_emitter,
                                                const Voltage& base_collector) {
    return transistor_currents(t, transistor_injection(t, base_emitter, base_collector),
                               base_emitter);
}

}  // namespace gapwright
