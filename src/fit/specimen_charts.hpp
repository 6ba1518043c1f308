// What each of several specimens measured, beside what the card says of all of them.
#pragma once

#include <string>
#include <vector>

#include "fit/card_curves.hpp"
#include "fit/card_fit.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

struct SpecimenCurve {
    std::string name;
    std::vector<double> x;  // rising
    std::vector<double> y;
    bool within = true;  // no point is beyond the card's limits by more than twice its uncertainty
};

// One measured quantity over what it was measured at, at the temperature of most points.
struct SpecimenChart {
    std::string name;   // for files, "specimens-transfer"
    std::string title;  // "Current transfer ratio of 20 specimens against forward current"
    ChartAxis x;
    ChartAxis y;
    std::vector<SpecimenCurve> specimens;
    // What the card gives at the points' own settings: nominal, and with every figure at that end
    // of its limits which lets the quantity fall or rise. All alike where the card states no
    // limits.
    ChartCurve lowest;
    ChartCurve nominal;
    ChartCurve highest;
};

// A chart for each of forward voltage, collector current and resistance that two specimens or more
// were measured of; none for a fit of one specimen. Errors: those of part_model.
Expected<std::vector<SpecimenChart>> specimen_charts(const CardFit& fit);

}  // namespace gapwright
