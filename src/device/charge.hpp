// What parts store: the charge of junctions and transistors, and how a light-dependent resistor
// follows its light. Each written once, generic in the number type.
//
// Depletion charge: the abrupt or graded junction of the textbooks, C = C_j/(1 − v/φ)^m.
// Diffusion charge: charge control of Gummel & Poon 1970, a transit time for each direction of the
// main current.
#pragma once

#include <cmath>

#include "device/figures.hpp"
#include "device/junction.hpp"
#include "device/number.hpp"
#include "device/transistor.hpp"

namespace gapwright {

inline constexpr double built_in_voltage = 0.75;  // φ, V
inline constexpr double abrupt_grading = 0.5;     // m, base–emitter, and a diode's junction
inline constexpr double graded_grading = 0.33;    // m, base–collector
// How many times what it loses in a swing a winding stores, where it rings with its own capacitance
// (own choice: iron damps more, so that voltages here are rather too high).
inline constexpr double winding_quality = 10;

// The charge of a junction's depletion layer, C, zero at no voltage; `capacitance` C_j at no
// voltage, F, `voltage` forward, V:
//   C_j·φ/(1−m)·(1 − (1 − v/φ)^{1−m}), and on as a straight line from v = φ/2.
template <class Voltage, class Real>
Voltage depletion_charge(const Real& capacitance, double grading, const Voltage& voltage) {
    using std::exp;
    using std::log;
    constexpr double half = 0.5 * built_in_voltage;
    const Voltage curved = minimum(voltage, Real(half));
    const Voltage depleted = curved * Real(-1.0 / built_in_voltage) + Real(1.0);  // 1 − v/φ
    const Voltage power = exp(log(depleted) * Real(1.0 - grading));
    const Real scale = capacitance * (built_in_voltage / (1.0 - grading));
    const Real slope = capacitance * std::exp2(grading);
    return (power * Real(-1.0) + Real(1.0)) * scale + (voltage - curved) * slope;
}

// The charge of a diode, C: depletion, and the transit time times its current.
template <class Voltage, class Real>
Voltage junction_charge(const JunctionCharge<Real>& charge, const Voltage& current,
                        const Voltage& voltage) {
    return depletion_charge(charge.capacitance, abrupt_grading, voltage) +
           current * charge.transit_time;
}
template <class Voltage, class Real>
Voltage junction_charge(const JunctionCharge<Real>& charge, const JunctionAt<Real>& junction,
                        const Voltage& voltage) {
    return junction_charge(charge, junction_current(junction, voltage), voltage);
}

// Charges between base and emitter, base and collector, C; npn, intrinsic terminals.
template <class Voltage>
struct TransistorCharges {
    Voltage base_emitter;
    Voltage base_collector;
};

// Depletion, and of the main current I_cc = forward − reverse: τ_F·forward at the emitter,
// τ_R·reverse at the collector.
template <class Voltage, class Real>
TransistorCharges<Voltage> transistor_charges(const TransistorCharge<Real>& charge,
                                              const TransistorInjection<Voltage>& injection,
                                              const Voltage& base_emitter,
                                              const Voltage& base_collector) {
    return {depletion_charge(charge.base_emitter_capacitance, abrupt_grading, base_emitter) +
                injection.forward * injection.per_unit * charge.transit_time,
            depletion_charge(charge.base_collector_capacitance, graded_grading, base_collector) +
                injection.reverse * injection.per_unit * charge.reverse_transit_time};
}
template <class Voltage, class Real>
TransistorCharges<Voltage> transistor_charges(const TransistorCharge<Real>& charge,
                                              const TransistorAt<Real>& t,
                                              const Voltage& base_emitter,
                                              const Voltage& base_collector) {
    return transistor_charges(charge, transistor_injection(t, base_emitter, base_collector),
                              base_emitter, base_collector);
}

}  // namespace gapwright
