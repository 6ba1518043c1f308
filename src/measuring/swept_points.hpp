// A sweep's readings as points, in the columns that `card fit` reads.
#pragma once

#include <string>
#include <vector>

#include "card/points.hpp"
#include "instrument/sweep.hpp"
#include "instrument/sweep_plan.hpp"
#include "measuring/swept_part.hpp"

namespace gapwright {

struct SweptPoints {
    std::vector<MeasuredPoint> points;
    std::vector<std::string> remarks;  // what a person has to know of them; no full stops
};

// How well a hand-held meter reads, a share (own choice, the same as fits assume): what points
// carry besides the steps of readings and the current's uncertainty.
inline constexpr double meter_voltage_uncertainty = 0.003;
inline constexpr double meter_current_uncertainty = 0.02;

// A current known worse than this share says hardly anything: such points are left out, with a
// remark that names the smallest current to begin with. Own choice; just what a supply gives away
// that shows one step of its reading.
inline constexpr double worst_current_uncertainty = 0.3;

// Points carry an `uncertainty` where currents or voltages are known worse than a fit assumes for
// points without one. `simulated`: says so in each point's origin.
SweptPoints swept_points(const SweptPart& swept, const SweepResult& result,
                         const std::string& specimen, bool simulated);

}  // namespace gapwright
