// The current of an LED behind a resistor, in closed form: Corless et al., On the Lambert W
// function, Advances in Computational Mathematics 5 (1996); the junction's law is that of
// docs/method.md.
#pragma once

#include <boost/math/special_functions/lambert_w.hpp>
#include <cmath>

namespace gapwright {

inline constexpr double boltzmann_by_charge = 1.380649e-23 / 1.602176634e-19;  // V/K, SI 2019
inline constexpr double kelvin_at_25 = 298.15;                                 // K

// An LED of 1e-18 A, ideality 2, 2 Ω behind R at V; all that the string is made of is stated.
inline constexpr double saturation = 1e-18;
inline constexpr double ideality = 2;
inline constexpr double own_resistance = 2;
inline constexpr double bandgap = 1.9;  // eV

// A.
inline double string_current(double volts, double resistance, double temperature) {
    const double slope = ideality * boltzmann_by_charge * temperature;
    const double warm =
        saturation * std::pow(temperature / kelvin_at_25, 3 / ideality) *
        std::exp(bandgap / (ideality * boltzmann_by_charge) * (1 / kelvin_at_25 - 1 / temperature));
    const double r = resistance + own_resistance;
    return slope / r *
               boost::math::lambert_w0(warm * r / slope * std::exp((volts + warm * r) / slope)) -
           warm;
}

}  // namespace gapwright
