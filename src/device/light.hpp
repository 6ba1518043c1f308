// Light across the gap: the transfer of a packaged coupler, the field of an open pair, the
// light-dependent resistor, and the ageing of emitters.
#pragma once

#include <cmath>
#include <cstddef>
#include <numbers>
#include <span>

#include "device/constants.hpp"
#include "device/figures.hpp"
#include "device/number.hpp"

namespace gapwright {

// The dark photocurrent doubles every ten kelvin (common practice).
template <class Real>
Real dark_current_at(const Real& dark_current, const Real& temperature) {
    using std::exp;
    return dark_current * exp((temperature - reference_temperature) * (std::numbers::ln2 / 10.0));
}

// max(0, 1 + a(T − T0)).
template <class Real>
Real light_at_temperature(const Real& temperature_coefficient, const Real& temperature) {
    return maximum(temperature_coefficient * (temperature - reference_temperature) + 1.0,
                   Real(0.0));
}

// The share of A·I_F that becomes photocurrent at emitter current I_F (A; below zero counts as
// zero): [I_F/(I_F+I_N)]/(1+I_F/I_D).
template <class Real>
Real transfer_shape(const Transfer<Real>& transfer, const Real& emitter_current) {
    const Real current = maximum(emitter_current, Real(0.0));
    return current / (current + transfer.low_knee) / (current / transfer.high_knee + 1.0);
}

// Photocurrent of a packaged coupler, A:
//   I_ph = A·I_F·[I_F/(I_F+I_N)]/(1+I_F/I_D)·max(0, 1+a(T−T0))·life + I_0·2^{(T−T0)/10 K}
// `life` is the share of light that is left, 1 for a new emitter.
template <class Real>
Real coupler_photocurrent(const Transfer<Real>& transfer, const Real& emitter_current,
                          const Real& temperature, const Real& life) {
    const Real current = maximum(emitter_current, Real(0.0));
    return transfer.photocurrent_ratio * current * transfer_shape(transfer, current) *
               light_at_temperature(transfer.temperature_coefficient, temperature) * life +
           dark_current_at(transfer.dark_current, temperature);
}

// Order of a Lambertian source: m = −ln 2 / ln cos θ½ (Kahn & Barry 1997, eq. 8).
template <class Real>
Real lambertian_order(const Real& half_angle) {
    using std::cos;
    using std::log;
    return -std::numbers::ln2 / log(cos(half_angle));
}

// Irradiance (W/m²) or illuminance (lx) at the receiver from the emitter: E = I·cos^m(θ)/d²
// (Kahn & Barry 1997, section II). Holds from about five times the source's size on.
template <class Real>
Real beam_at_receiver(const Beam<Real>& beam, const Real& emitter_current, const Real& temperature,
                      const Real& life) {
    using std::cos;
    using std::exp;
    using std::log;
    const Real current = maximum(emitter_current, Real(0.0));
    const Real direction = exp(log(cos(beam.angle)) * lambertian_order(beam.half_angle));
    return beam.intensity * current * direction / (beam.distance * beam.distance) *
           light_at_temperature(beam.temperature_coefficient, temperature) * life;
}

// The conductance that light gives it, S: (E/E_ref)^γ/R_ref; `illuminance` E in lx, from zero.
template <class Real>
Real lit_conductance(const LightResistor<Real>& resistor, const Real& illuminance) {
    using std::pow;
    return pow(illuminance / resistor.illuminance, resistor.gamma) / resistor.resistance;
}

// Its conductance at rest, S: with the dark resistance in parallel.
template <class Real>
Real light_conductance(const LightResistor<Real>& resistor, const Real& illuminance) {
    return lit_conductance(resistor, illuminance) + 1.0 / resistor.dark_resistance;
}

// How fast the conductance that light gives it changes, S/s, where the light asks for `wanted` and
// it stands at `present`: first order; towards less light it slows in step with its resistance once
// that is above R_ref (carriers that meet recombine; common practice: "decay slows as it darkens").
template <class Real>
Real lit_conductance_rate(const LightResistor<Real>& resistor, const LightResponse<Real>& response,
                          const Real& wanted, const Real& present) {
    const Real missing = wanted - present;
    const Real share = minimum(present * resistor.resistance, Real(1.0));
    return maximum(missing, Real(0.0)) / response.rise_time +
           minimum(missing, Real(0.0)) * share / response.decay_time;
}

inline constexpr double log_80_percent = 0.2231435513142097;  // −ln 0.8

// How fast an emitter ages, against one that always carries the current at which its life is
// stated: Σ share · (I/I_ref)^p over the states in which its link spends its time. Damage adds up
// whatever the order (linear damage; from memory: Miner 1945), so that this is the law of a
// constant current (Σ share · I^p)^{1/p}. `shares` by state, of the whole age, each from 0 and
// together not above 1: what is missing is time without current. Empty: not known, and then the
// largest of the currents flows always, since what is not known must not count in favour.
// `current(state)`, A, of the states 0 … `states` − 1; below zero counts as dark.
template <class Real, class Currents>
Real wear(const Life<Real>& life, std::span<const double> shares, std::size_t states,
          const Currents& current) {
    using std::pow;
    const auto at = [&](const Real& amperes) {
        return pow(maximum(amperes, Real(0.0)) / life.at_current, life.current_exponent);
    };
    if (shares.empty()) {
        Real largest(0.0);
        for (std::size_t s = 0; s < states; ++s) largest = maximum(largest, current(s));
        return at(largest);
    }
    Real sum(0.0);
    for (std::size_t s = 0; s < states; ++s) {
        if (shares.data()[s] > 0) sum = sum + at(current(s)) * Real(shares.data()[s]);
    }
    return sum;
}

// The share of light left at `age`, s, at `temperature`, K, with `wear` from above:
// exp(−(t/τ)^b), τ = t80/(−ln 0.8)^{1/b}/wear·exp((E_a/k)(1/T − 1/T_ref)).
template <class Real>
Real light_left(const Life<Real>& life, const Real& age, const Real& wear,
                const Real& temperature) {
    using std::exp;
    using std::pow;
    const Real heat = exp(life.activation_energy * (elementary_charge / boltzmann_constant) *
                          (1.0 / life.at_temperature - 1.0 / temperature));
    return exp(-log_80_percent * pow(age / life.to_80_percent * wear * heat, life.shape));
}

}  // namespace gapwright
