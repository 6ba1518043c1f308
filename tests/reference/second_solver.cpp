// Sources are raised in steps; each step is one run of KINSOL with its line search, unknowns in
// volts, every equation scaled by its largest derivative. A few Newton steps in long double with
// finite differences follow; their derivatives are kept as long as they serve.
#include "reference/second_solver.hpp"

#include <kinsol/kinsol.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numeric>

namespace gapwright::reference {
namespace {

template <class Real>
using Matrix = std::vector<std::vector<Real>>;

template <class Real>
Matrix<Real> derivatives(const SecondSide& side, std::vector<Real> x, Real share, Real step) {
    const std::size_t n = x.size();
    Matrix<Real> result(n, std::vector<Real>(n));
    for (std::size_t k = 0; k < n; ++k) {
        const Real at = x[k];
        x[k] = at + step;
        const auto above = side.residual(x, share);
        x[k] = at - step;
        const auto below = side.residual(x, share);
        x[k] = at;
        for (std::size_t i = 0; i < n; ++i) result[i][k] = (above[i] - below[i]) / (2 * step);
    }
    return result;
}

// A matrix taken apart by elimination, rows scaled, to solve a·x = b for several b.
class Eliminated {
  public:
    // False when the matrix is singular.
    bool take(Matrix<long double> a) {
        const std::size_t n = a.size();
        a_ = std::move(a);
        scale_.assign(n, 1);
        row_.resize(n);
        std::iota(row_.begin(), row_.end(), std::size_t{0});
        for (std::size_t i = 0; i < n; ++i) {
            long double largest = 0;
            for (const long double v : a_[i]) largest = std::max(largest, std::abs(v));
            if (!(largest > 0)) return false;
            for (long double& v : a_[i]) v /= largest;
            scale_[i] = 1 / largest;
        }
        for (std::size_t k = 0; k < n; ++k) {
            std::size_t pivot = k;
            for (std::size_t i = k + 1; i < n; ++i) {
                if (std::abs(a_[i][k]) > std::abs(a_[pivot][k])) pivot = i;
            }
            if (!(std::abs(a_[pivot][k]) > 0)) return false;
            std::swap(a_[k], a_[pivot]);
            std::swap(row_[k], row_[pivot]);
            for (std::size_t i = k + 1; i < n; ++i) {
                const long double factor = a_[i][k] / a_[k][k];
                a_[i][k] = factor;
                if (factor == 0) continue;
                for (std::size_t j = k + 1; j < n; ++j) a_[i][j] -= factor * a_[k][j];
            }
        }
        return true;
    }
    std::vector<long double> solve(const std::vector<long double>& b) const {
        const std::size_t n = b.size();
        std::vector<long double> x(n);
        for (std::size_t k = 0; k < n; ++k) {
            x[k] = b[row_[k]] * scale_[row_[k]];
            for (std::size_t j = 0; j < k; ++j) x[k] -= a_[k][j] * x[j];
        }
        for (std::size_t k = n; k-- > 0;) {
            for (std::size_t j = k + 1; j < n; ++j) x[k] -= a_[k][j] * x[j];
            x[k] /= a_[k][k];
        }
        return x;
    }

  private:
    Matrix<long double> a_;
    std::vector<long double> scale_;
    std::vector<std::size_t> row_;
};

// Newton's method near the solution. True when the last step no longer moves anything. Derivatives
// are kept while each step is a hundredth of the one before: so near, they hardly change.
bool settled(const SecondSide& side, std::vector<long double>& x, long double share) {
    Eliminated slopes;
    long double before = 0;
    for (int round = 0; round < 60; ++round) {
        const auto unbalanced = side.residual(x, share);
        std::vector<long double> step;
        long double largest = 0;
        const auto solve = [&] {
            step = slopes.solve(unbalanced);
            largest = 0;
            for (const long double s : step) {
                largest = std::max(largest, std::isfinite(s) ? std::abs(s) : HUGE_VALL);
            }
        };
        const bool kept = before > 0;
        if (kept) solve();
        if (!kept || !(largest <= before / 100 || largest < 1e-13L)) {
            if (!slopes.take(derivatives(side, x, share, 1e-8L))) return false;
            solve();
        }
        if (!(largest < 1e6L)) return false;
        const long double damping = largest > 0.2L ? 0.2L / largest : 1.0L;
        for (std::size_t k = 0; k < x.size(); ++k) x[k] -= damping * step[k];
        if (largest < 1e-13L) return true;
        before = largest < 1e-3L ? largest : 0;
    }
    return false;
}

struct Problem {
    const SecondSide* side;
    double share;
};

int evaluate(N_Vector x, N_Vector f, void* data) {
    const auto& problem = *static_cast<Problem*>(data);
    const double* from = N_VGetArrayPointer(x);
    const std::vector<double> at(from, from + problem.side->unknowns());
    const auto value = problem.side->residual(at, problem.share);
    std::copy(value.begin(), value.end(), N_VGetArrayPointer(f));
    return std::all_of(value.begin(), value.end(), [](double v) { return std::isfinite(v); }) ? 0
                                                                                              : 1;
}

// KINSOL's objects for one side, freed together.
class Kinsol {
  public:
    explicit Kinsol(const SecondSide& side)
        : problem_{&side, 0}, size_(static_cast<sunindextype>(side.unknowns())) {
        SUNContext_Create(nullptr, &context_);
        x_ = N_VNew_Serial(size_, context_);
        unit_ = N_VNew_Serial(size_, context_);
        scale_ = N_VNew_Serial(size_, context_);
        N_VConst(1.0, unit_);
        matrix_ = SUNDenseMatrix(size_, size_, context_);
        linear_ = SUNLinSol_Dense(x_, matrix_, context_);
        memory_ = KINCreate(context_);
        KINInit(memory_, evaluate, x_);
        KINSetUserData(memory_, &problem_);
        KINSetErrHandlerFn(memory_, [](int, const char*, const char*, char*, void*) {}, nullptr);
        KINSetLinearSolver(memory_, linear_, matrix_);
        KINSetFuncNormTol(memory_, 1e-11);
        KINSetScaledStepTol(memory_, 1e-14);
        KINSetNumMaxIters(memory_, 200);
        KINSetMaxSetupCalls(memory_, 1);
        KINSetMaxNewtonStep(memory_, 2.0);
    }
    Kinsol(const Kinsol&) = delete;
    Kinsol& operator=(const Kinsol&) = delete;
    ~Kinsol() {
        KINFree(&memory_);
        SUNLinSolFree(linear_);
        SUNMatDestroy(matrix_);
        N_VDestroy(x_);
        N_VDestroy(unit_);
        N_VDestroy(scale_);
        SUNContext_Free(&context_);
    }

    void run(std::vector<double>& x, double share) {
        problem_.share = share;
        const auto slopes = derivatives(*problem_.side, x, share, 1e-6);
        double* scale = N_VGetArrayPointer(scale_);
        for (std::size_t i = 0; i < x.size(); ++i) {
            double largest = 1e-15;
            for (const double v : slopes[i]) largest = std::max(largest, std::abs(v));
            scale[i] = 1 / largest;
        }
        std::copy(x.begin(), x.end(), N_VGetArrayPointer(x_));
        KINSol(memory_, x_, KIN_LINESEARCH, unit_, scale_);
        const double* result = N_VGetArrayPointer(x_);
        x.assign(result, result + x.size());
    }

  private:
    Problem problem_;
    sunindextype size_;
    SUNContext context_ = nullptr;
    N_Vector x_ = nullptr;
    N_Vector unit_ = nullptr;
    N_Vector scale_ = nullptr;
    SUNMatrix matrix_ = nullptr;
    SUNLinearSolver linear_ = nullptr;
    void* memory_ = nullptr;
};

}  // namespace

std::optional<SecondPoint> second_point(const SecondSide& side, const SecondPoint* start) {
    Kinsol kinsol(side);
    SecondPoint point;
    if (start) {
        std::vector<double> x(start->x.begin(), start->x.end());
        ++point.kinsol_runs;
        kinsol.run(x, 1);
        point.x.assign(x.begin(), x.end());
        if (settled(side, point.x, 1)) return point;
    }
    std::vector<long double> reached(side.unknowns(), 0.0L);
    double share = 0;
    double step = 0.125;
    while (share < 1) {
        const double next = std::min(1.0, share + step);
        std::vector<double> x(reached.begin(), reached.end());
        ++point.kinsol_runs;
        kinsol.run(x, next);  // whether it got there, the next lines judge
        std::vector<long double> fine(x.begin(), x.end());
        if (!settled(side, fine, next)) {
            step /= 4;
            if (step < 1e-6) return {};
            continue;
        }
        reached = fine;
        share = next;
        step = std::min(0.5, step * 2);
    }
    point.x = reached;
    return point;
}

}  // namespace gapwright::reference
