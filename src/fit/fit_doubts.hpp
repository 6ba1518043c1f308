// What a person should look at again in a fit, and what makes it none.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fit/card_fit.hpp"

namespace gapwright::fitting {

// Adds to `fit.doubts` what its points alone give to ask: figures (before any stated limits) beyond
// the card they are based on, a curve that may be normalised, points that lie oddly off the curve.
// A reason where no such part could give them. Requires `observations`, `predicted`, `strays`.
std::optional<std::string> doubt_points(CardFit& fit, const std::vector<FittedFigure>& figures);

// Adds what card check finds unlikely of the fitted figures, and what links will miss on the card.
// A reason where a figure cannot be at either end of its interval. Requires `card`, `figures`.
std::optional<std::string> doubt_card(CardFit& fit);

}  // namespace gapwright::fitting
