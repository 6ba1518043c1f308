#include "fit/specimen_spread.hpp"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <span>

namespace gapwright {

namespace {

constexpr double share = 0.99;
constexpr double confidence = 0.95;

// How much larger the variance may be than `freedom` degrees of freedom show it.
double variance_factor(double freedom) {
    return freedom / boost::math::quantile(boost::math::chi_squared(freedom), 1 - confidence);
}

double reach_of_law(double specimens) {
    return boost::math::quantile(boost::math::normal(), (1 + share) / 2) *
           std::sqrt(1 + 1 / specimens);
}

}  // namespace

double tolerance_factor(double specimens, double freedom) {
    return reach_of_law(specimens) * std::sqrt(variance_factor(freedom));
}

SpecimenSpread spread_of_specimens(std::span<const MeasuredSpecimen> specimens, double expected,
                                   double counts) {
    // What was measured roughly weighs less.
    const auto weight = [&](const MeasuredSpecimen& s) {
        return 1 / (expected * expected + s.uncertainty * s.uncertainty);
    };
    double weights = 0;
    double weights_squared = 0;
    SpecimenSpread spread;
    for (const auto& s : specimens) {
        weights += weight(s);
        weights_squared += weight(s) * weight(s);
        spread.centre += weight(s) * s.value;
    }
    spread.centre /= weights;
    const auto count = static_cast<double>(specimens.size());
    double squares = 0;
    double measuring = 0;  // the mean square of the specimens' own uncertainties
    for (const auto& s : specimens) {
        const double away = s.value - spread.centre;
        squares += weight(s) * away * away * count / weights;
        measuring += weight(s) * s.uncertainty * s.uncertainty / weights;
    }
    double freedom = count - 1;
    spread.joined = specimens.size() < enough_specimens;
    if (spread.joined) {
        squares += counts * (expected * expected + measuring);
        freedom += counts;
    }
    // Readings lie apart by the parts and by their own errors; what the errors do is taken off the
    // largest variance that the readings allow.
    constexpr double least = 0.05;  // of the errors' own; own choice
    const double shown = squares / freedom;
    const auto of_parts = [&](double total) {
        return std::sqrt(std::max(total - measuring, least * measuring));
    };
    const double specimens_worth = weights * weights / weights_squared;
    const double reach = reach_of_law(specimens_worth) * of_parts(shown * variance_factor(freedom));
    spread.deviation = of_parts(shown);
    spread.centre_uncertainty = std::sqrt(shown / specimens_worth);
    spread.lowest = spread.centre - reach;
    spread.highest = spread.centre + reach;
    return spread;
}

}  // namespace gapwright
