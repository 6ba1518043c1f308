// What points read off one chart have in common: marks on its axes that are some pixels off move
// all of them together, and are no noise that many points would average away.
#pragma once

#include <vector>

#include "fit/observation.hpp"

namespace gapwright {

// Errors of standard normal size that fits take as unknowns beside the figures: each by
// observation, as a share of the measured quantity. Points state how much (shared_uncertainty), not
// how it runs along a curve: it is taken as a level and a tilt from one end to the other, which
// together make what is stated at each point, and a bend besides. Empty where no point states any.
std::vector<std::vector<double>> chart_errors(const std::vector<Observation>& observations);

}  // namespace gapwright
