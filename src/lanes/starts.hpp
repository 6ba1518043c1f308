// Where iterations start, worked out about a sample. Internal to the layer.
#pragma once

#include <array>
#include <span>
#include <vector>
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "lanes/plan.hpp"

namespace gapwright {

// The starts of one device that stands at these control voltages in the sample.
std::array<ControlStart, 2> control_starts(const prepared::Element& element,
                                           const std::array<double, 2>& controls);

// Adds to each state of the plan how its starts move with each figure: the link is solved with the
// figure somewhat lower and somewhat higher than in the sample.
void add_start_slopes(const Circuit& circuit, std::span<const double> values,
                      const Conditions& conditions, const std::vector<StatePoint>& points,
                      const std::vector<FigureRange>& ranges, LanePlan& plan);

}  // namespace gapwright
