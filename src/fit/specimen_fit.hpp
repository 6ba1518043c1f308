// One specimen's points fitted. Internal to the layer.
#pragma once

#include <cstddef>
#include <expected>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "fit/card_fit.hpp"
#include "fit/observation.hpp"
#include "fit/test_point.hpp"

namespace gapwright::fitting {

// A figure as one specimen's points tell it.
struct Told {
    Key key = {};
    bool logarithmic = true;
    double value = 0;
    double uncertainty = 0;  // standard, of the logarithm where logarithmic
    double lowest = 0;       // 95 % interval
    double highest = 0;
    double share = 1;          // told of what was known beforehand
    bool kept = false;         // no point tells it
    double apart = 0;          // how far specimens usually lie apart, as FitKey
    bool in_transfer = false;  // likewise
};

struct OneFit {
    std::vector<Told> told;  // in the order of the keys; a coupler's "ctr" for its ratio
    std::vector<double> predicted;
    std::vector<double> misfits;      // in the noise
    std::vector<std::size_t> strays;  // of the observations given
};

std::expected<OneFit, CardFitFailure> fit_specimen(const Description& base, const TestPoint& at,
                                                   const std::vector<Observation>& observations,
                                                   const CardFitOptions& options);

}  // namespace gapwright::fitting
