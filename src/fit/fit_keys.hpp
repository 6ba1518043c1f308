// Which figures of a card points can tell: one table.
#pragma once

#include <span>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "fit/observation.hpp"

namespace gapwright {

// A figure that can be fitted, and what is known of it before any point. All are own choices after
// common practice: how far parts of the trade lie from a kind's default.
struct FitKey {
    Key key;
    Measured shown_by;  // what has to be measured for it to show at all
    double lowest = 0;
    double highest = 0;
    bool logarithmic = true;
    // How far a part may lie from the card's figure, one standard deviation (of the logarithm where
    // logarithmic); zero: nothing is known, the points alone say it.
    double doubt = 0;
    // How far specimens of one type lie apart, likewise.
    double apart = 0;
    bool with_temperature = false;  // shows only where the temperature varies
    // Where the search begins when the card only assumes the figure; zero: at what it assumes.
    double about = 0;
    // The spread of the ratio from light to current holds what specimens differ in it already.
    bool in_transfer = false;
};

// The keys that observations of this kind can show, in the order of the card.
std::vector<FitKey> fit_keys(Kind kind, std::span<const Observation> observations);

}  // namespace gapwright
