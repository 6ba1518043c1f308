// What parts store, once more, from the textbooks' laws alone: the second solution must share no
// line with the program's own.
#pragma once

#include <cmath>

#include "reference/second_laws.hpp"

namespace gapwright::reference {

// C_j·φ/(1−m)·(1 − (1 − v/φ)^{1−m}); from v = φ/2 on the capacitance stays as it is there.
template <class Real>
Real depletion(double capacitance, double grading, const Real& v) {
    using std::pow;
    constexpr double built_in = 0.75;
    const auto curved = [&](const Real& at) {
        return Real(capacitance * built_in / (1 - grading)) *
               (Real(1) - pow(Real(1) - at / Real(built_in), 1 - grading));
    };
    if (v < Real(built_in / 2)) return curved(v);
    const double steepest = capacitance / std::pow(0.5, grading);
    return curved(Real(built_in / 2)) + Real(steepest) * (v - Real(built_in / 2));
}

// A diode's, LED's or emitter's.
struct SecondJunctionCharge {
    double capacitance = 0;   // F
    double transit_time = 0;  // s

    bool any() const { return capacitance > 0 || transit_time > 0; }
    template <class Real>
    Real at(const SecondJunction& junction, const Real& v) const {
        return depletion(capacitance, 0.5, v) + Real(transit_time) * junction.current(v);
    }
};

// A transistor's: into the base from the emitter's side, and from the collector's.
struct SecondTransistorCharge {
    double emitter_capacitance = 0, collector_capacitance = 0;  // F
    double transit_time = 0, reverse_transit_time = 0;          // s

    bool any() const {
        return emitter_capacitance > 0 || collector_capacitance > 0 || transit_time > 0 ||
               reverse_transit_time > 0;
    }
    template <class Real>
    struct Both {
        Real emitter;
        Real collector;
    };
    template <class Real>
    Both<Real> at(const SecondTransistor& t, const Real& be, const Real& bc) const {
        using std::sqrt;
        const Real forward = tame_exp(be / Real(t.thermal));
        const Real backward = tame_exp(bc / Real(t.thermal));
        const Real early(t.early);
        const Real q1 = bc >= early / 2 ? Real(2) : early / (early - bc);
        const Real q2 = Real(t.transport / t.knee) * forward;
        const Real unit = Real(t.transport) / (q1 * (1 + sqrt(1 + 4 * q2)) / 2);
        return {depletion(emitter_capacitance, 0.5, be) + Real(transit_time) * unit * (forward - 1),
                depletion(collector_capacitance, 0.33, bc) +
                    Real(reverse_transit_time) * unit * (backward - 1)};
    }
};

// A zener diode in reverse: a junction through its zener voltage and current behind its resistance,
// held there over temperature. Seen from cathode to anode.
struct SecondBreakdown {
    double knee = 0, current = 0, scale = 0, resistance = 0;

    template <class Real>
    Real at(const Real& v) const {
        return Real(current) *
               (tame_exp((v - Real(knee)) / Real(scale)) - Real(std::exp(-knee / scale)));
    }
};

// How fast the lit conductance g of a light-dependent resistor moves, S/s.
struct SecondLightResponse {
    double reference = 0;  // R_ref, Ω
    double dark = 0;       // Ω
    double rise = 0, decay = 0;

    template <class Real>
    Real rate(const Real& wanted, const Real& g) const {
        if (wanted > g) return (wanted - g) / Real(rise);
        const Real slowed = g * Real(reference);
        return (wanted - g) * (slowed < Real(1) ? slowed : Real(1)) / Real(decay);
    }
};

}  // namespace gapwright::reference
