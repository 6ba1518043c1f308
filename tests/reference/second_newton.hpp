// Newton's method on q(x) − goal + weight·f(x) = 0 of a link in time, with slopes that are kept as
// long as they serve.
#pragma once

#include <Eigen/Dense>

#include "reference/second_waveform_system.hpp"

namespace gapwright::reference {

class SecondNewton {
  public:
    explicit SecondNewton(const WaveformSystem& system) : system_(system) {}

    // From x to the solution; false where there was none within so many rounds.
    bool solve(std::vector<double>& x, const std::vector<double>& goal, double weight, int rounds);
    // f(x) = 0.
    bool at_rest(std::vector<double>& x);
    // By how much x would move with charges by so much, at the slopes used last.
    std::vector<double> moved_by(const std::vector<double>& charge) const;

  private:
    void take_slopes(const std::vector<double>& x, double stored, double weight);
    bool run(std::vector<double>& x, const std::vector<double>& goal, double stored, double weight,
             int rounds);
    Eigen::VectorXd solved(const Eigen::VectorXd& right) const;

    const WaveformSystem& system_;
    Eigen::VectorXd row_scale_;
    Eigen::PartialPivLU<Eigen::MatrixXd> factors_;
    double weight_ = -1;  // that the slopes are for; below zero, none are
};

}  // namespace gapwright::reference
