// The laws behind synthetic charts: known functions with the shapes of data sheets.
#pragma once

#include <random>
#include <string>
#include <vector>

#include "chart/axis_scale.hpp"

namespace gapwright::testing {

struct MadeAxis {
    double from = 0, to = 1;
    bool logarithmic = false;
    double step = 1;  // between labelled lines of a linear axis

    [[nodiscard]] double fraction(double value) const;
    [[nodiscard]] double value(double fraction) const;
};

struct MadeCurve {
    std::vector<ChartPoint> values = {};  // dense
    std::string label = {};
};

struct MadeFamily {
    MadeAxis x = {}, y = {};
    std::vector<MadeCurve> curves = {};
};

double uniform(std::mt19937& random, double from, double to);

MadeFamily diode_currents(std::mt19937& random, int count);       // nearly vertical, linear
MadeFamily transfer_ratios(std::mt19937& random, int count);      // humps on a logarithmic axis
MadeFamily receiver_outputs(std::mt19937& random, int count);     // knees, then almost flat
MadeFamily cell_resistances(std::mt19937& random, int count);     // straight, logarithmic both ways
MadeFamily falling_by_heat(std::mt19937& random, int count);      // gently falling
MadeFamily crossing_curves(std::mt19937& random, int count);      // rising and falling, one tone
MadeFamily currents_by_decades(std::mt19937& random, int count);  // bent, logarithmic both ways

}  // namespace gapwright::testing
