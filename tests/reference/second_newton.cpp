#include "reference/second_newton.hpp"

#include <cmath>

namespace gapwright::reference {
namespace {

constexpr double near_enough = 1e-9;  // of an unknown's size: a thousandth of a step's error
constexpr double stale = 0.1;         // steps that shrink by less want new slopes
// Where steps no longer shrink, rounding moves x: 10 µF at 10 V know their charge to 10⁻²⁰ C, which
// in a step of 10⁻¹³ s is a tenth of a microampere.
constexpr double rounding = 1e-6;
constexpr int patience = 8;  // rounds

}  // namespace

void SecondNewton::take_slopes(const std::vector<double>& x, double stored, double weight) {
    const auto n = static_cast<Eigen::Index>(x.size());
    Eigen::MatrixXd slopes(n, n);
    std::vector<Slope> at(x.begin(), x.end());
    for (std::size_t k = 0; k < x.size(); ++k) {
        at[k].slope = 1;
        const auto sum = system_.balance(at);
        at[k].slope = 0;
        for (std::size_t i = 0; i < x.size(); ++i) {
            slopes(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(k)) =
                stored * sum.q[i].slope + weight * sum.f[i].slope;
        }
    }
    row_scale_.resize(n);
    for (Eigen::Index i = 0; i < n; ++i) {
        const double largest = slopes.row(i).cwiseAbs().maxCoeff();
        row_scale_[i] = largest > 0 ? 1 / largest : 1;
        slopes.row(i) *= row_scale_[i];
    }
    factors_.compute(slopes);
    weight_ = weight;
}

Eigen::VectorXd SecondNewton::solved(const Eigen::VectorXd& right) const {
    return factors_.solve(right.cwiseProduct(row_scale_));
}

bool SecondNewton::run(std::vector<double>& x, const std::vector<double>& goal, double stored,
                       double weight, int rounds) {
    const auto n = static_cast<Eigen::Index>(x.size());
    Eigen::VectorXd residual(n);
    double before = 0;
    if (weight != weight_) take_slopes(x, stored, weight);
    for (int round = 0; round < rounds; ++round) {
        const auto sum = system_.balance(x);
        for (std::size_t k = 0; k < x.size(); ++k) {
            residual[static_cast<Eigen::Index>(k)] =
                stored * (goal[k] - sum.q[k]) - weight * sum.f[k];
        }
        const Eigen::VectorXd step = solved(residual);
        if (!step.allFinite()) return false;
        const std::span<const double> moves(step.data(), x.size());
        const double share = system_.allowed(x, moves);
        double largest = 0;
        for (std::size_t k = 0; k < x.size(); ++k) {
            x[k] += share * moves[k];
            largest =
                std::max(largest, std::abs(moves[k]) / (std::abs(x[k]) + system_.scales()[k]));
        }
        if (largest < near_enough) return true;
        const bool shrinks = before > 0 && largest < stale * before;
        if (round > patience && largest < rounding && !(largest < 0.5 * before)) return true;
        if (!shrinks && round > 0) take_slopes(x, stored, weight);
        before = largest;
    }
    return false;
}

bool SecondNewton::solve(std::vector<double>& x, const std::vector<double>& goal, double weight,
                         int rounds) {
    return run(x, goal, 1, weight, rounds);
}

bool SecondNewton::at_rest(std::vector<double>& x) {
    weight_ = -1;
    const bool found = run(x, std::vector<double>(x.size(), 0.0), 0, 1, 200);
    weight_ = -1;
    return found;
}

std::vector<double> SecondNewton::moved_by(const std::vector<double>& charge) const {
    const Eigen::VectorXd moved =
        solved(Eigen::VectorXd::Map(charge.data(), static_cast<Eigen::Index>(charge.size())));
    return {moved.begin(), moved.end()};
}

}  // namespace gapwright::reference
