#include "solvers/newton_with_eigen.hpp"

#include <Eigen/Dense>

#include "solvers/other_solvers.hpp"

namespace gapwright::benchmarks {

bool newton_with_eigen(const EightUnknowns& problem, std::vector<double>& x,
                       std::vector<double>& control) {
    constexpr int most_steps = 100;
    Eigen::VectorXd f(unknowns);
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> j(unknowns, unknowns);
    bool arrived = problem.move(x.data(), control.data());
    for (int k = 0; k < most_steps; ++k) {
        problem.tangent(x.data(), control.data(), f.data(), j.data());
        if (arrived && f.cwiseAbs().maxCoeff() <= tolerance) return true;
        const Eigen::VectorXd step = j.partialPivLu().solve(f);
        for (int i = 0; i < unknowns; ++i) x[static_cast<std::size_t>(i)] -= step[i];
        arrived = problem.move(x.data(), control.data());
    }
    return false;
}

}  // namespace gapwright::benchmarks
