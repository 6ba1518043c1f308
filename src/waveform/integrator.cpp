#include "waveform/integrator.hpp"

#include <ida/ida.h>
#include <ida/ida_ls.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sundials/sundials_linearsolver.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <cmath>
#include <cstddef>
#include <memory>
#include "waveform/equations.hpp"

namespace gapwright::waveforms {
namespace {

constexpr int most_error_test_failures = 30;
constexpr int most_convergence_failures = 40;
constexpr int most_corrections = 6;  // of one step

VectorXd copy_of(N_Vector vector) {
    return VectorXd::Map(N_VGetArrayPointer(vector), N_VGetLength(vector));
}

}  // namespace

// Everything that the library's callbacks work on.
struct Integrator::Sundials {
    Equations& equations;
    SUNContext context = nullptr;
    void* memory = nullptr;
    N_Vector y = nullptr;
    N_Vector slope = nullptr;
    N_Vector weights = nullptr;
    N_Vector scratch = nullptr;
    SUNMatrix matrix = nullptr;
    SUNLinearSolver linear = nullptr;
    double now = 0;
    std::size_t evaluations = 0;
    VectorXd present = {};
    // Working space.
    VectorXd at = {};
    VectorXd at_slope = {};
    VectorXd residual = {};
    MatrixXd jacobian = {};
    VectorXd row_scale = {};
    Eigen::PartialPivLU<MatrixXd> factors = {};

    ~Sundials() {
        IDAFree(&memory);
        if (linear) SUNLinSolFreeEmpty(linear);
        if (matrix) SUNMatDestroy(matrix);
        for (N_Vector v : {y, slope, weights, scratch}) {
            if (v) N_VDestroy(v);
        }
        SUNContext_Free(&context);
    }

    // F, or with its Jacobian. The library asks again where the answer is not a number.
    int evaluate(double time, N_Vector at_y, N_Vector at_y_slope, double cj, bool with_jacobian) {
        ++evaluations;
        at = copy_of(at_y);
        at_slope = copy_of(at_y_slope);
        equations.evaluate(time, at, at_slope, cj, residual, with_jacobian ? &jacobian : nullptr);
        return residual.allFinite() ? 0 : 1;
    }

    // Rows are scaled to a largest entry of 1: the base of a dark receiver lives on femtosiemens
    // beside contacts of tens of siemens.
    int factorise() {
        MatrixXd scaled = jacobian;
        row_scale.resize(scaled.rows());
        for (Index r = 0; r < scaled.rows(); ++r) {
            const double largest = scaled.row(r).cwiseAbs().maxCoeff();
            if (!std::isfinite(largest)) return 1;
            row_scale[r] = largest > 0 ? 1 / largest : 1;
            scaled.row(r) *= row_scale[r];
            if (largest == 0) scaled(r, r) = 1;  // between blocked devices: it stays where it is
        }
        factors.compute(scaled);
        return 0;
    }
};

namespace {

using State = Integrator::Sundials;

State& state_of(void* shared) {
    return *static_cast<State*>(shared);
}

int residual_of(double time, N_Vector y, N_Vector slope, N_Vector residual, void* shared) {
    State& state = state_of(shared);
    const int status = state.evaluate(time, y, slope, 0, false);
    VectorXd::Map(N_VGetArrayPointer(residual), state.residual.size()) = state.residual;
    return status;
}

// The matrix that the library keeps stays empty: the solver below has its own.
int jacobian_of(double time, double cj, N_Vector y, N_Vector slope, N_Vector, SUNMatrix,
                void* shared, N_Vector, N_Vector, N_Vector) {
    return state_of(shared).evaluate(time, y, slope, cj, true);
}

SUNLinearSolver_Type solver_type(SUNLinearSolver) {
    return SUNLINEARSOLVER_DIRECT;
}
int solver_setup(SUNLinearSolver solver, SUNMatrix) {
    return state_of(solver->content).factorise();
}
int solver_solve(SUNLinearSolver solver, SUNMatrix, N_Vector x, N_Vector right, double) {
    State& state = state_of(solver->content);
    const VectorXd scaled =
        VectorXd::Map(N_VGetArrayPointer(right), N_VGetLength(right)).cwiseProduct(state.row_scale);
    const VectorXd solution = state.factors.solve(scaled);
    if (!solution.allFinite()) return 1;
    VectorXd::Map(N_VGetArrayPointer(x), solution.size()) = solution;
    return 0;
}

}  // namespace

Integrator::Integrator(Equations& equations, double tolerance)
    : sundials_(std::make_unique<Sundials>(Sundials{equations})) {
    Sundials& s = *sundials_;
    const auto size = static_cast<sunindextype>(equations.size());
    SUNContext_Create(nullptr, &s.context);
    for (N_Vector* v : {&s.y, &s.slope, &s.weights, &s.scratch}) {
        *v = N_VNew_Serial(size, s.context);
        N_VConst(0.0, *v);
    }
    s.matrix = SUNDenseMatrix(size, size, s.context);
    s.linear = SUNLinSolNewEmpty(s.context);
    s.linear->content = &s;
    s.linear->ops->gettype = solver_type;
    s.linear->ops->setup = solver_setup;
    s.linear->ops->solve = solver_solve;
    s.memory = IDACreate(s.context);
    IDAInit(s.memory, residual_of, 0.0, s.y, s.slope);
    IDASetUserData(s.memory, &s);
    IDASetErrFile(s.memory, nullptr);
    const VectorXd floors = tolerance * equations.sizes();
    VectorXd::Map(N_VGetArrayPointer(s.weights), floors.size()) = floors;
    IDASVtolerances(s.memory, tolerance, s.weights);
    IDASetLinearSolver(s.memory, s.linear, s.matrix);
    IDASetJacFn(s.memory, jacobian_of);
    IDASetMaxErrTestFails(s.memory, most_error_test_failures);
    IDASetMaxConvFails(s.memory, most_convergence_failures);
    IDASetMaxNonlinIters(s.memory, most_corrections);
}

Integrator::~Integrator() = default;

bool Integrator::begin(double time, const VectorXd& y, const VectorXd& slope) {
    Sundials& s = *sundials_;
    VectorXd::Map(N_VGetArrayPointer(s.y), y.size()) = y;
    VectorXd::Map(N_VGetArrayPointer(s.slope), slope.size()) = slope;
    s.now = time;
    s.present = y;
    return IDAReInit(s.memory, time, s.y, s.slope) == IDA_SUCCESS;
}

Integrator::Outcome Integrator::step(double stop) {
    Sundials& s = *sundials_;
    if (std::isfinite(stop)) IDASetStopTime(s.memory, stop);
    // Far enough to say which way to go; one step is taken whatever its size.
    const double towards = std::isfinite(stop) ? stop : s.now + 1.0;
    const int status = IDASolve(s.memory, towards, &s.now, s.y, s.slope, IDA_ONE_STEP);
    if (status < 0) return Outcome::failed;
    s.present = copy_of(s.y);
    return status == IDA_TSTOP_RETURN ? Outcome::stop : Outcome::step;
}

double Integrator::time() const {
    return sundials_->now;
}

std::size_t Integrator::evaluations() const {
    return sundials_->evaluations;
}

const VectorXd& Integrator::y() const {
    return sundials_->present;
}

Index Integrator::worst() const {
    Sundials& s = *sundials_;
    if (IDAGetEstLocalErrors(s.memory, s.scratch) != IDA_SUCCESS) return 0;
    const VectorXd errors = copy_of(s.scratch);
    if (IDAGetErrWeights(s.memory, s.scratch) != IDA_SUCCESS) return 0;
    Index worst = 0;
    errors.cwiseProduct(copy_of(s.scratch)).cwiseAbs().maxCoeff(&worst);
    return worst;
}

VectorXd Integrator::within(double time) const {
    Sundials& s = *sundials_;
    if (IDAGetDky(s.memory, time, 0, s.scratch) != IDA_SUCCESS) return s.present;
    return copy_of(s.scratch);
}

}  // namespace gapwright::waveforms
