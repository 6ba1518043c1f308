// A second solution of a link in time, by an integrator that the program does not use: a singly
// diagonally implicit Runge–Kutta method of order 4, L-stable, with one of order 3 embedded in it
// (Hairer & Wanner, Solving Ordinary Differential Equations II, table 6.5).
//
// One step needs no past, so that values inside a step are those of a shorter step from its start,
// as exact as the step itself, and nothing is interpolated.
#pragma once

#include "reference/second_newton.hpp"

namespace gapwright::reference {

class SecondWaveform {
  public:
    // From `rest`, at rest before time 0, on with the system of the state after it.
    SecondWaveform(const WaveformSystem& after, const std::vector<double>& rest);

    // One step of a size that keeps the error, not beyond `end`. False when it cannot be followed.
    bool step(double end);
    // x at a time inside the last step; empty where it cannot be found.
    std::vector<double> within(double time);

    double time() const { return time_; }
    const std::vector<double>& x() const { return x_; }
    double step_began() const { return began_; }
    const std::vector<double>& x_before() const { return before_; }
    int steps() const { return steps_; }

  private:
    // A step from x, whose charges are `stored`. False where Newton's method fails.
    bool attempt(const std::vector<double>& x, const std::vector<double>& stored, double length,
                 std::vector<double>& to, double* error);

    const WaveformSystem& system_;
    SecondNewton newton_;
    double time_ = 0, began_ = 0;
    double next_;  // the length to try
    int steps_ = 0;
    std::vector<double> x_, stored_;
    std::vector<double> before_, stored_before_;
};

}  // namespace gapwright::reference
