// Solves one side by KINSOL, a solver that the program itself does not use, and settles the last
// digits in long double.
#pragma once

#include <optional>
#include <vector>

#include "reference/second_side.hpp"

namespace gapwright::reference {

struct SecondPoint {
    std::vector<long double> x;
    int kinsol_runs = 0;
};

// Empty when no point was reached; never a point that does not balance. `start`, the solution of a
// side with the same parts and other figures, is tried once with sources at their full value; where
// it does not lead to a point, sources are raised from nothing.
std::optional<SecondPoint> second_point(const SecondSide& side, const SecondPoint* start = nullptr);

}  // namespace gapwright::reference
