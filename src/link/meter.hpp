// [meter]: the meter with which a link is measured at the bench.
#pragma once

#include <optional>

#include "source/source_text.hpp"

namespace gapwright {

// "± (0.5 % + 2 digits)": so much of the reading, and so many of its last digit. A limit, not a
// standard deviation.
struct Accuracy {
    double share = 0;   // of the reading
    double digits = 0;  // of the last place shown
};

// Every key of [meter] may be left out. Standards are those of a plain hand-held meter of three and
// a half digits (common practice).
struct Meter {
    Accuracy voltage = {.share = 0.005, .digits = 2};
    Accuracy current = {.share = 0.01, .digits = 3};
    Accuracy resistance = {.share = 0.008, .digits = 2};
    int counts = 2000;               // digits of a range's full scale
    double input_resistance = 10e6;  // Ω, on its voltage ranges
    double burden_voltage = 0.2;     // V across it at full scale of a current range
    double test_voltage = 0.5;       // V that it applies, open, to measure a resistance: too little
                                     // for a silicon junction to conduct much
    double junction_voltage = 3;     // V, open, on its junction test range
    double junction_current = 1e-3;  // A, short-circuited, on its junction test range
    // V, where the junction test goes over range; none: not known. Meters differ: 2 V or 3 V
    // (common practice).
    std::optional<double> junction_range = {};
    // V, of an insulation tester that is at hand; none: there is none.
    std::optional<double> insulation_voltage = {};
    Place place = {};
};

}  // namespace gapwright
