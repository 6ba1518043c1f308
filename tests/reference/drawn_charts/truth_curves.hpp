// What the drawn charts show: curves by formulas of this check's own, which only look as those of
// data sheets do (shapes and spans common practice, formulas and figures own choice), so that
// nothing of the program's own laws can help it.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "reference/drawn_charts/dice.hpp"

namespace gapwright::drawn_charts {

struct Axis {
    std::string quantity;  // as points name it
    std::string unit;
    double from = 0;
    double to = 1;
    double step = 0;  // between labels; of a logarithmic axis labels stand at decades
    bool logarithmic = false;

    // 0 at the axis' beginning, 1 at its end, in its own scale; and back.
    double share(double value) const;
    double value(double share) const;
    std::vector<double> labels() const;
};

struct Curve {
    std::function<double(double)> y;
    double from = 0;  // in x
    double to = 1;
    std::string measured_at;  // "temperature = 85 °C"; empty of a single curve
    std::string label;        // "85 °C"
};

struct Subject {
    Axis x;
    Axis y;
    bool measures_x = false;  // the forward voltage is measured at the current
    std::string at;           // what all were measured at
    std::vector<Curve> curves;
};

enum class Kind {
    forward,            // LED, linear
    forward_decades,    // LED, current logarithmic
    transfer,           // transfer ratio over current, which is logarithmic
    transfer_decades,   // both logarithmic
    transfer_crossing,  // a family whose tops lie at different currents
    collector,          // collector current over voltage
    temperature,        // relative output over temperature; families cross at 25 °C
    resistor,           // light resistor, both logarithmic
    dark,               // dark current over temperature, logarithmic
};

// `apart` 1: as data sheets have them; 0.3 close together.
Subject make_subject(Kind kind, int curves, double apart, Dice& dice);

}  // namespace gapwright::drawn_charts
