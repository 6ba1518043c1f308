// Solvers to compare with. Each brings `x` from a start to where no equation is off by more than
// 1e-9 (A or V), and returns whether it came there.
#pragma once

#include <memory>
#include <vector>

#include "solvers/problem.hpp"

namespace gapwright::benchmarks {

inline constexpr double tolerance = 1e-9;

class OtherSolver {
  public:
    virtual ~OtherSolver() = default;
    virtual bool solve(const Problem& problem, std::vector<double>& x) = 0;
};

// SUNDIALS' KINSOL, dense, with the analytic Jacobian and line search. Its objects are made once
// for each size.
std::unique_ptr<OtherSolver> kinsol();
// GSL's hybrid method of Powell with the analytic Jacobian and its own scaling (hybridsj).
std::unique_ptr<OtherSolver> gsl_hybrid();

}  // namespace gapwright::benchmarks
