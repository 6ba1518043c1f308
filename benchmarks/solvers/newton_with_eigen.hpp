// Newton's method on the eight unknowns with Eigen's LU decomposition with partial pivoting, steps
// limited junction by junction: what a plain solver of circuits does.
#pragma once

#include <vector>

#include "solvers/eight_unknowns.hpp"

namespace gapwright::benchmarks {

// Brings node voltages `x` and control voltages from a start to where no node is off by more than
// 1e-9 A. Returns whether it came there.
bool newton_with_eigen(const EightUnknowns& problem, std::vector<double>& x,
                       std::vector<double>& control);

}  // namespace gapwright::benchmarks
