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

// Empty when no point was reached; never a point that does not balance.
std::optional<SecondPoint> second_point(const SecondSide& side);

}  // namespace gapwright::reference
