// Groups of measurements, and what all of them are made with. Internal to the layer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"

namespace gapwright::measuring {

// What a reading costs in time and trouble, in voltages against the return (own choice).
inline constexpr double across_cost = 1.1;  // both leads have to be held
inline constexpr double unpowered_cost = 1.3;
inline constexpr double clipped_cost = 2;  // clips are moved
inline constexpr double opened_cost = 4;   // a lead opened, and joined again
inline constexpr double lifted_cost = 5;   // a lead unsoldered or pulled, and put back

using Measurements = std::vector<Measurement>;

// A gap's parts by the half that is meant: "U1.emitter".
std::string part_word(const Part& part, Side side);

Measurement measured(MeasurementKind kind, std::string measure, std::string_view state, Side side,
                     Node plus, Node minus, double cost);

// All nodes of one side clipped together against all of the other, both ways round, as the build
// sheet asks before the first power; then point by point, where that found a way across.
Measurements isolations(const Link& link);

// Of the supply and of what hangs on leads, which are opened easily; of other parts where none of
// these carries the same current.
Measurements currents(const Link& link, Side side);

}  // namespace gapwright::measuring
