// A card from points: the figures that the points tell, how well, how far specimens lie apart, and
// what stays at its default because no point tells it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <map>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/points.hpp"
#include "fit/observation.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// One figure of the card.
struct FittedFigure {
    Key key = {};
    std::string group;  // the card's table, "model"
    Dimension dimension = Dimension::ratio;
    double value = 0;                // in the key's inner unit
    std::vector<double> conditions;  // of "X at Y"
    double lowest = 0;               // 95 % interval of `value`
    double highest = 0;
    double told = 1;    // share of what was known beforehand that the points add, 0 … 1
    bool kept = false;  // the points cannot tell it: the default, or the base card's
    // From specimen to specimen: limits that hold 99 of 100, or those that were stated.
    std::optional<Spread> spread = {};
    std::optional<Spread> based_on = {};  // the limits of the card it is based on, moved here
    std::string spread_from = {};  // "of 5 specimens", "stated", "of the card it is based on"
};

struct SpecimenFit {
    std::string name;
    std::size_t observations = 0;
    std::vector<double> values;  // by figure of CardFit::figures
};

struct CardFit {
    Description card;  // with the fitted figures, complete
    std::vector<FittedFigure> figures;
    std::vector<Observation> observations;
    std::vector<double> predicted;       // by observation, in its unit
    std::vector<double> misfits;         // by observation, in the noise that the points show
    std::vector<std::size_t> strays;     // observations far off, by index
    double noise = 0;                    // root mean square of (measured/predicted − 1)
    std::vector<SpecimenFit> specimens;  // where there is more than one
    std::vector<std::string> doubts;     // what a person should look at again, one sentence each
};

// Limits that a data sheet states of a figure; its typical value is left aside.
struct StatedLimits {
    Spread spread;
    std::vector<double> conditions = {};  // at which they hold; empty: at those of the fit
};

struct CardFitOptions {
    std::map<Key, StatedLimits> limits = {};
    std::uint64_t seed = 1;
    std::stop_token stop = {};
    std::function<void(std::size_t done, std::size_t of)> progress = {};  // specimens
};

struct CardFitFailure {
    Problems problems;  // bad input; empty: the computation failed
    std::string message = {};
    bool stopped = false;
};

// Fits a card of the kind of `base` to the points. `base` is complete (of a card or of the kind's
// defaults). Errors: those of observations_of and part_model; limits that do not hold the fitted
// value (contradiction), or of a key that is not fitted (unknown_key); no fit found.
std::expected<CardFit, CardFitFailure> fit_card(const Description& base,
                                                const std::vector<MeasuredPoint>& points,
                                                const CardFitOptions& options = {});

}  // namespace gapwright
