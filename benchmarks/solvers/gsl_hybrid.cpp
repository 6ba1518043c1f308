#include <gsl/gsl_errno.h>
#include <gsl/gsl_multiroots.h>

#include <algorithm>
#include <map>

#include "solvers/other_solvers.hpp"

namespace gapwright::benchmarks {
namespace {

int residual(const gsl_vector* x, void* data, gsl_vector* f) {
    static_cast<const Problem*>(data)->residual(x->data, f->data);
    return GSL_SUCCESS;
}
int jacobian(const gsl_vector* x, void* data, gsl_matrix* j) {
    static_cast<const Problem*>(data)->jacobian(x->data, j->data);
    return GSL_SUCCESS;
}
int both(const gsl_vector* x, void* data, gsl_vector* f, gsl_matrix* j) {
    residual(x, data, f);
    return jacobian(x, data, j);
}

// GSL's objects for one size.
class Objects {
  public:
    explicit Objects(std::size_t n)
        : solver_(gsl_multiroot_fdfsolver_alloc(gsl_multiroot_fdfsolver_hybridsj, n)),
          start_(gsl_vector_alloc(n)) {}
    ~Objects() {
        gsl_multiroot_fdfsolver_free(solver_);
        gsl_vector_free(start_);
    }
    Objects(const Objects&) = delete;
    Objects& operator=(const Objects&) = delete;

    bool solve(const Problem& problem, std::vector<double>& x) {
        constexpr int most_steps = 200;
        gsl_multiroot_function_fdf function{residual, jacobian, both, x.size(),
                                            const_cast<Problem*>(&problem)};
        std::copy(x.begin(), x.end(), start_->data);
        gsl_multiroot_fdfsolver_set(solver_, &function, start_);
        bool settled = gsl_multiroot_test_residual(solver_->f, tolerance) == GSL_SUCCESS;
        for (int k = 0; k < most_steps && !settled; ++k) {
            if (gsl_multiroot_fdfsolver_iterate(solver_) != GSL_SUCCESS) break;
            settled = gsl_multiroot_test_residual(solver_->f, tolerance) == GSL_SUCCESS;
        }
        std::copy_n(solver_->x->data, x.size(), x.begin());
        return settled;
    }

  private:
    gsl_multiroot_fdfsolver* solver_;
    gsl_vector* start_;
};

class Hybrid final : public OtherSolver {
  public:
    Hybrid() { gsl_set_error_handler_off(); }
    bool solve(const Problem& problem, std::vector<double>& x) override {
        const auto n = static_cast<std::size_t>(problem.size());
        return objects_.try_emplace(n, n).first->second.solve(problem, x);
    }

  private:
    std::map<std::size_t, Objects> objects_;
};

}  // namespace

std::unique_ptr<OtherSolver> gsl_hybrid() {
    return std::make_unique<Hybrid>();
}

}  // namespace gapwright::benchmarks
