// Constants of physics, exact by the SI of 2019.
#pragma once

namespace gapwright {

inline constexpr double boltzmann_constant = 1.380649e-23;    // J/K
inline constexpr double elementary_charge = 1.602176634e-19;  // C
inline constexpr double zero_celsius = 273.15;                // K
inline constexpr double reference_temperature = 298.15;  // K, at which cards state their figures

// Where the models of temperature hold, K: −55 to 125 °C.
inline constexpr double coldest_temperature = -55 + zero_celsius;
inline constexpr double hottest_temperature = 125 + zero_celsius;

// kT/q in volts, 25.69 mV at the reference temperature. `temperature` in kelvin, above zero.
template <class Real>
Real thermal_voltage(const Real& temperature) {
    return temperature * (boltzmann_constant / elementary_charge);
}

}  // namespace gapwright
