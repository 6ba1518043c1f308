// The devices' laws once more, written from docs/method.md alone: the second solution must share no
// line with the program's own.
#pragma once

#include <cmath>

#include "reference/made_link.hpp"

namespace gapwright::reference {

inline constexpr double charge_over_boltzmann = 1.602176634e-19 / 1.380649e-23;  // K/V
inline constexpr double reference_kelvin = 298.15;

// e^x, continued linearly beyond x = 80.
template <class Real>
Real tame_exp(Real x) {
    using std::exp;
    return x > Real(80) ? exp(Real(80)) * (Real(1) + x - Real(80)) : exp(x);
}

// T-dependent rise of a saturation current: (T/T0)^(x/n)·exp(q E_g/(n k)·(1/T0 − 1/T)).
inline double saturation_rise(double kelvin, double exponent, double ideality, double bandgap) {
    return std::pow(kelvin / reference_kelvin, exponent / ideality) *
           std::exp(bandgap * charge_over_boltzmann / ideality *
                    (1 / reference_kelvin - 1 / kelvin));
}

// A junction at its temperature, ready to be evaluated.
struct SecondJunction {
    double saturation = 0;  // A, at temperature
    double scale = 0;       // n V_T
    double resistance = 0;  // R_S

    template <class Real>
    Real current(Real v) const {
        return Real(saturation) * (tame_exp(v / Real(scale)) - Real(1));
    }
};
SecondJunction second_junction(const MadePart& part, const std::string& prefix, double kelvin);

// A transistor at its temperature, as an npn.
struct SecondTransistor {
    double transport = 0, leak = 0, gain = 0, reverse_gain = 0, early = 0, knee = 0;
    double thermal = 0, leak_scale = 0, resistance = 0;

    template <class Real>
    struct Currents {
        Real collector;
        Real base;
    };
    template <class Real>
    Currents<Real> at(Real be, Real bc) const {
        using std::sqrt;
        const Real vt(thermal), is(transport);
        const Real forward = tame_exp(be / vt);
        const Real backward = tame_exp(bc / vt);
        const Real half = Real(early) / 2;
        const Real q1 = bc >= half ? Real(2) : Real(early) / (Real(early) - bc);
        const Real qb = q1 / 2 * (1 + sqrt(1 + 4 * is / Real(knee) * forward));
        const Real carried = is * (forward - backward) / qb;
        const Real into_emitter =
            is / Real(gain) * (forward - 1) + Real(leak) * (tame_exp(be / Real(leak_scale)) - 1);
        const Real into_collector = is / Real(reverse_gain) * (backward - 1);
        return {carried - into_collector, into_emitter + into_collector};
    }
};
SecondTransistor second_transistor(const MadePart& part, const std::string& prefix, double kelvin,
                                   bool receiver);

// Drain current of a MOSFET, as an n-channel one.
struct SecondMosfet {
    double threshold = 0, transconductance = 0, slope = 0, modulation = 0, thermal = 0;

    template <class Real>
    static Real soft(Real x) {  // ln(1 + e^x)
        using std::exp;
        using std::log1p;
        return x > 0 ? x + log1p(exp(-x)) : log1p(exp(x));
    }
    template <class Real>
    Real current(Real gs, Real ds) const {
        using std::abs;
        const Real width = 2 * Real(slope) * Real(thermal);
        const Real over = gs - Real(threshold);
        const Real a = soft<Real>(over / width);
        const Real b = soft<Real>((over - Real(slope) * ds) / width);
        return width * Real(thermal) * Real(transconductance) * (a - b) * (a + b) *
               (1 + Real(modulation) * abs(ds));
    }
};
SecondMosfet second_mosfet(const MadePart& part, double kelvin);

// What a gap throws on its receiver at an emitter current: photocurrent in A, or, for a
// light-dependent resistor, its conductance in S. Without ambient light, new.
double second_light(const MadePart& gap, double emitter_current, double kelvin);
bool has_light_resistor(const MadePart& gap);

}  // namespace gapwright::reference
