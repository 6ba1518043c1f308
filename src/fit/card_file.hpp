// A fitted card as the text of a card file, NAME.card.toml.
#pragma once

#include <string>
#include <vector>

#include "card/points.hpp"
#include "fit/card_fit.hpp"
#include "fit/pair_fit.hpp"
#include "units/dimension.hpp"

namespace gapwright {

struct CardFileHead {
    std::string name;      // "Infrared emitter of the west louvre"
    std::string based_on;  // a card's name; empty: the kind stands in its place
    std::string source;    // one line: where the figures come from
};

// Every figure with its spread, its 95 % interval as a comment; what no point told as a comment;
// the points themselves at the end.
std::string card_file_text(const CardFit& fit, const std::vector<MeasuredPoint>& points,
                           const CardFileHead& head);

// A pair's card: both halves by their cards, with what was measured of them in their place.
std::string pair_file_text(const PairFit& fit, const std::vector<MeasuredPoint>& points,
                           const CardFileHead& head);

// A quantity as card files write it, to four digits: "1.213 V", "92.1 %", "0.0045".
std::string figure_text(double value, Dimension dimension);

// What is said of a figure that no point tells: "the points cannot tell it: 2 Ω, as assumed of any
// led".
std::string kept_words(const CardFit& fit, const FittedFigure& figure);

}  // namespace gapwright
