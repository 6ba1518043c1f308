// Where the figures of "X at Y" are stated on a fitted card. Internal to the layer.
#pragma once

#include <span>
#include <string_view>

#include "card/description.hpp"
#include "card/key.hpp"
#include "fit/observation.hpp"

namespace gapwright::fitting {

// Chosen once, for all specimens alike: where the base card states the figure if it was measured
// there, else the middle one of the places at which it was.
struct TestPoint {
    double current = 0;      // A, of forward and ctr
    double voltage = 0;      // V, of ctr
    double irradiance = 0;   // W/m², of sensitivity
    double illuminance = 0;  // lx, of resistance
};
TestPoint test_point(const Description& base, std::span<const Observation> observations);

// The base card, without spreads, with what is to be fitted stated at the test point and near what
// was measured there: where a fit begins.
Description prepared_card(Description card, const TestPoint& at,
                          std::span<const Observation> observations);

// By how much the base card's own figure is larger at the test point than where it is stated: what
// its limits have to be multiplied by to be compared there. 1 for figures without conditions.
double moved_to(const Description& base, Key key, const TestPoint& at);

}  // namespace gapwright::fitting
