// Where a worst case lies: the figures of its specimen that matter.
#pragma once

#include <string>
#include <vector>

#include "link/figure_id.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// What differs from specimen to specimen: a figure of the link, or a condition.
enum class Varying : unsigned char { parameter, temperature, light, age };

// One figure of a case: a parameter that matters there, or a condition (temperature in K).
struct CaseFigure {
    Varying kind = Varying::parameter;
    FigureId figure = {};  // of a parameter
    std::string name;      // for people: "R2.value", "temperature", "light", "age"
    double value = 0;
    double nominal = 0;
    Dimension dimension = Dimension::ratio;
    double effect = 0;  // how far it alone moves the quantity between its ends
};
// Those figures that move the quantity, the one that moves it most first; conditions last.
using Case = std::vector<CaseFigure>;

}  // namespace gapwright
