// A system of equations as the solvers to compare with take it.
#pragma once

namespace gapwright::benchmarks {

class Problem {
  public:
    virtual ~Problem() = default;
    virtual int size() const = 0;
    // What each equation is off by.
    virtual void residual(const double* x, double* f) const = 0;
    // The residual's derivatives, row by row.
    virtual void jacobian(const double* x, double* j) const = 0;
};

}  // namespace gapwright::benchmarks
