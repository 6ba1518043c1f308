// Points of parts whose laws are written out here, not taken from the program.
#pragma once

#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "card/points.hpp"

namespace gapwright::testing_support {

inline MeasuredPoint point(std::map<std::string, double, std::less<>> values,
                           std::string specimen = {}) {
    MeasuredPoint made;
    made.values = std::move(values);
    made.specimen = std::move(specimen);
    return made;
}

// A diode's law: V = n·V_T·ln(1 + I/I_S) + I·R_S, with V_T = kT/e; exact values of the SI.
struct DiodeLaw {
    double saturation = 1e-18;  // A
    double ideality = 1.8;
    double series = 2.5;  // Ω

    double voltage(double current) const {
        const double thermal = 1.380649e-23 * 298.15 / 1.602176634e-19;
        return ideality * thermal * std::log1p(current / saturation) + current * series;
    }
    MeasuredPoint at(double current, std::string specimen = {}) const {
        return point({{"forward_current", current}, {"forward_voltage", voltage(current)}},
                     std::move(specimen));
    }
};

// A light-dependent resistor's: conductances of light and of the dark side by side.
struct CellLaw {
    double at_ten = 10e3;  // Ω, at 10 lx, of the light alone
    double gamma = 0.7;
    double dark = 1e9;  // Ω

    double resistance(double lux) const {
        return 1 / (std::pow(lux / 10, gamma) / at_ten + 1 / dark);
    }
    MeasuredPoint at(double lux) const {
        return point({{"illuminance", lux}, {"resistance", resistance(lux)}});
    }
};

}  // namespace gapwright::testing_support
