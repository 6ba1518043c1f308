// A fit as the solver's library asks for it: what each point and each expectation costs. Internal
// to the layer.
#pragma once

#include <ceres/ceres.h>

#include <cmath>
#include <cstddef>
#include <stop_token>
#include <vector>

#include "fit/least_squares.hpp"

namespace gapwright {

// The solver looks for coordinates: a parameter, or its logarithm.
inline double to_coordinate(const FitParameter& p, double value) {
    return p.logarithmic ? std::log(value) : value;
}
inline double to_value(const FitParameter& p, double coordinate) {
    return p.logarithmic ? std::exp(coordinate) : coordinate;
}

// One point as the solver's library asks for it.
class PointCost final : public ceres::CostFunction {
  public:
    PointCost(const FitProblem& problem, std::size_t point, const double& noise)
        : problem_(problem), point_(point), noise_(noise) {
        set_num_residuals(1);
        for (std::size_t k = 0; k < problem.parameters.size(); ++k) {
            mutable_parameter_block_sizes()->push_back(1);
        }
    }

    bool Evaluate(double const* const* coordinates, double* residuals,
                  double** jacobians) const override {
        const auto& parameters = problem_.parameters;
        std::vector<double> values(parameters.size());
        for (std::size_t k = 0; k < values.size(); ++k) {
            values[k] = to_value(parameters[k], *coordinates[k]);
        }
        std::vector<double> slopes(jacobians ? values.size() : 0);
        if (!problem_.misfit(point_, values, residuals[0], slopes)) return false;
        residuals[0] /= noise_;
        if (!std::isfinite(residuals[0])) return false;
        for (std::size_t k = 0; k < slopes.size(); ++k) {
            if (!jacobians[k]) continue;
            const double slope = slopes[k] * (parameters[k].logarithmic ? values[k] : 1.0) / noise_;
            if (!std::isfinite(slope)) return false;
            *jacobians[k] = slope;
        }
        return true;
    }

  private:
    const FitProblem& problem_;
    std::size_t point_;
    const double& noise_;
};

// What was known of a parameter beforehand.
class BeforehandCost final : public ceres::SizedCostFunction<1, 1> {
  public:
    BeforehandCost(double centre, double doubt) : centre_(centre), doubt_(doubt) {}
    bool Evaluate(double const* const* coordinates, double* residuals,
                  double** jacobians) const override {
        residuals[0] = (*coordinates[0] - centre_) / doubt_;
        if (jacobians && jacobians[0]) *jacobians[0] = 1.0 / doubt_;
        return true;
    }

  private:
    double centre_;
    double doubt_;
};

class StopCallback final : public ceres::IterationCallback {
  public:
    explicit StopCallback(const std::stop_token& stop) : stop_(stop) {}
    ceres::CallbackReturnType operator()(const ceres::IterationSummary&) override {
        return stop_.stop_requested() ? ceres::SOLVER_ABORT : ceres::SOLVER_CONTINUE;
    }

  private:
    const std::stop_token& stop_;
};
// The only call of the solver; prints nothing.
void solve_quietly(ceres::Solver::Options options, ceres::Problem& problem,
                   ceres::Solver::Summary& summary);

}  // namespace gapwright
