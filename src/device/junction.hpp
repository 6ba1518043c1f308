// A pn junction: diodes, light-emitting diodes, the emitters of gaps, a zener diode's breakdown.
//
// Law (Shockley 1949): i = I_S(T)·(e^{v/(n V_T)} − 1), v the voltage across the junction itself;
// the series resistance is a resistor beside it in the circuit.
#pragma once

#include <cmath>

#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/number.hpp"

namespace gapwright {

// A junction at a temperature.
template <class Real>
struct JunctionAt {
    Real saturation_current;  // A
    Real slope_voltage;       // n·V_T, V
};

// I_S(T) = I_S·(T/T0)^{x/n}·exp((q E_g/(n k))·(1/T0 − 1/T)); temperature in kelvin.
template <class Real>
Real saturation_current_at(const Junction<Real>& junction, const Real& temperature) {
    using std::exp;
    using std::log;
    const Real ratio = temperature * (1.0 / reference_temperature);
    const Real activation =
        junction.bandgap * (elementary_charge / boltzmann_constant) / junction.ideality;
    return junction.saturation_current *
           exp(log(ratio) * junction.temperature_exponent / junction.ideality +
               activation * (1.0 / reference_temperature - 1.0 / temperature));
}

template <class Real>
JunctionAt<Real> junction_at(const Junction<Real>& junction, const Real& temperature) {
    return {saturation_current_at(junction, temperature),
            junction.ideality * thermal_voltage(temperature)};
}

// The saturation current whose curve passes through `voltage` at `current` (both above zero, the
// voltage across junction and series resistance) at the reference temperature. Where the series
// resistance alone would drop more than `voltage`, the result is not finite: readers refuse that.
template <class Real>
Real saturation_current_through(const Real& voltage, const Real& current, const Real& ideality,
                                const Real& series_resistance) {
    const Real slope_voltage = ideality * thermal_voltage(Real(reference_temperature));
    return current /
           limited_exponential_minus_1((voltage - current * series_resistance) / slope_voltage);
}

// The drop across the junction itself, V, at a current above zero and at the reference temperature.
// Zero where the saturation current is below zero: the junction of a figure that was set aside.
template <class Real>
Real reference_drop(const Junction<Real>& junction, const Real& current) {
    using std::log;
    return junction.ideality * thermal_voltage(Real(reference_temperature)) *
           log(maximum(current / junction.saturation_current + 1.0, Real(1.0)));
}

// How the forward voltage moves with temperature at a constant `current`, V/K, at the reference
// temperature: dv/dT = (v − E_g/q)/T0 − x·k/q, from I_S(T) above. The band gap that gives a stated
// slope is the same equation the other way round; it is then a number that carries the slope, not
// the material's.
template <class Real>
Real slope_of_bandgap(const Junction<Real>& junction, const Real& current) {
    return (reference_drop(junction, current) - junction.bandgap) * (1.0 / reference_temperature) -
           junction.temperature_exponent * (boltzmann_constant / elementary_charge);
}
template <class Real>
Real bandgap_of_slope(const Junction<Real>& junction, const Real& slope, const Real& current) {
    return reference_drop(junction, current) -
           (slope + junction.temperature_exponent * (boltzmann_constant / elementary_charge)) *
               reference_temperature;
}

// The current through the junction, A; `voltage` across it, V.
template <class Voltage, class Real>
Voltage junction_current(const JunctionAt<Real>& junction, const Voltage& voltage) {
    return limited_exponential_minus_1(voltage / junction.slope_voltage) *
           junction.saturation_current;
}

// The voltage across the junction at a current (the inverse of junction_current), V. Requires a
// current above −I_S.
template <class Real>
Real junction_voltage(const JunctionAt<Real>& junction, const Real& current) {
    using std::log1p;
    return junction.slope_voltage * log1p(current / junction.saturation_current);
}

// A zener diode's breakdown, seen from cathode to anode: a second junction that passes through
// `knee_voltage` at `knee_current`. Written from the knee, since the saturation current of a
// junction of many volts lies far below the smallest double.
template <class Real>
struct BreakdownAt {
    Real knee_voltage;   // V across the breakdown itself: zener voltage less the resistance's drop
    Real knee_current;   // A
    Real slope_voltage;  // n·V_T, V
    Real at_rest;        // e^{−knee/slope}: what flows of the knee current at no voltage
};

// The breakdown at a slope voltage.
template <class Real>
BreakdownAt<Real> breakdown_at(const Real& knee_voltage, const Real& knee_current,
                               const Real& slope_voltage) {
    using std::exp;
    return {knee_voltage, knee_current, slope_voltage, exp(-knee_voltage / slope_voltage)};
}

// The current from cathode to anode, A; `voltage` from cathode to anode, V.
template <class Voltage, class Real>
Voltage breakdown_current(const BreakdownAt<Real>& breakdown, const Voltage& voltage) {
    const Voltage x = (voltage - breakdown.knee_voltage) / breakdown.slope_voltage;
    return (limited_exponential(x) - breakdown.at_rest) * breakdown.knee_current;
}

}  // namespace gapwright
