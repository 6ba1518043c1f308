#include <kinsol/kinsol.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "solvers/other_solvers.hpp"

namespace gapwright::benchmarks {
namespace {

// What the callbacks see.
struct Call {
    const Problem* problem = nullptr;
    std::vector<double> rows;
};

// KINSOL asks for a recoverable error where a trial point gives nothing finite.
int residual(N_Vector x, N_Vector f, void* data) {
    const auto& call = *static_cast<const Call*>(data);
    double* to = N_VGetArrayPointer(f);
    call.problem->residual(N_VGetArrayPointer(x), to);
    const int n = call.problem->size();
    return std::all_of(to, to + n, [](double v) { return std::isfinite(v); }) ? 0 : 1;
}

int jacobian(N_Vector x, N_Vector, SUNMatrix matrix, void* data, N_Vector, N_Vector) {
    auto& call = *static_cast<Call*>(data);
    const int n = call.problem->size();
    call.problem->jacobian(N_VGetArrayPointer(x), call.rows.data());
    for (int r = 0; r < n; ++r) {
        for (int c = 0; c < n; ++c) {
            SM_ELEMENT_D(matrix, r, c) = call.rows[static_cast<std::size_t>(r * n + c)];
        }
    }
    return 0;
}

// KINSOL's objects for one size.
class Objects {
  public:
    explicit Objects(int n) {
        call_.rows.resize(static_cast<std::size_t>(n * n));
        SUNContext_Create(nullptr, &context_);
        x_ = N_VNew_Serial(n, context_);
        unit_ = N_VNew_Serial(n, context_);
        N_VConst(1.0, unit_);
        matrix_ = SUNDenseMatrix(n, n, context_);
        linear_ = SUNLinSol_Dense(x_, matrix_, context_);
        memory_ = KINCreate(context_);
        KINInit(memory_, residual, x_);
        KINSetErrHandlerFn(memory_, [](int, const char*, const char*, char*, void*) {}, nullptr);
        KINSetUserData(memory_, &call_);
        KINSetLinearSolver(memory_, linear_, matrix_);
        KINSetJacFn(memory_, jacobian);
        KINSetFuncNormTol(memory_, tolerance);
        KINSetScaledStepTol(memory_, 1e-14);
        KINSetMaxSetupCalls(memory_, 1);  // the Jacobian anew at every step
    }
    ~Objects() {
        KINFree(&memory_);
        SUNLinSolFree(linear_);
        SUNMatDestroy(matrix_);
        N_VDestroy(unit_);
        N_VDestroy(x_);
        SUNContext_Free(&context_);
    }
    Objects(const Objects&) = delete;
    Objects& operator=(const Objects&) = delete;

    bool solve(const Problem& problem, std::vector<double>& x) {
        call_.problem = &problem;
        std::copy(x.begin(), x.end(), N_VGetArrayPointer(x_));
        const int flag = KINSol(memory_, x_, KIN_LINESEARCH, unit_, unit_);
        std::copy_n(N_VGetArrayPointer(x_), x.size(), x.begin());
        return flag >= 0;
    }

  private:
    Call call_;
    SUNContext context_ = nullptr;
    N_Vector x_ = nullptr;
    N_Vector unit_ = nullptr;
    SUNMatrix matrix_ = nullptr;
    SUNLinearSolver linear_ = nullptr;
    void* memory_ = nullptr;
};

class Kinsol final : public OtherSolver {
  public:
    bool solve(const Problem& problem, std::vector<double>& x) override {
        return objects_.try_emplace(problem.size(), problem.size()).first->second.solve(problem, x);
    }

  private:
    std::map<int, Objects> objects_;
};

}  // namespace

std::unique_ptr<OtherSolver> kinsol() {
    return std::make_unique<Kinsol>();
}

}  // namespace gapwright::benchmarks
