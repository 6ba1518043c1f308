#include <Eigen/Dense>

#include "solvers/other_solvers.hpp"

namespace gapwright::benchmarks {
namespace {

class Newton final : public OtherSolver {
  public:
    bool solve(const Problem& problem, std::vector<double>& x) override {
        constexpr int most_steps = 100;
        const int n = problem.size();
        f_.resize(n);
        jacobian_.resize(n, n);
        for (int k = 0; k < most_steps; ++k) {
            problem.residual(x.data(), f_.data());
            if (f_.cwiseAbs().maxCoeff() <= tolerance) return true;
            problem.jacobian(x.data(), jacobian_.data());
            const Eigen::VectorXd step = jacobian_.partialPivLu().solve(f_);
            from_ = x;
            for (int i = 0; i < n; ++i) x[static_cast<std::size_t>(i)] -= step[i];
            problem.limit(from_.data(), x.data());
        }
        return false;
    }

  private:
    Eigen::VectorXd f_;
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> jacobian_;
    std::vector<double> from_;
};

}  // namespace

std::unique_ptr<OtherSolver> newton_with_eigen() {
    return std::make_unique<Newton>();
}

}  // namespace gapwright::benchmarks
