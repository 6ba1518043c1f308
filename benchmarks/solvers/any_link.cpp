#include "solvers/any_link.hpp"

#include "circuit/assembly.hpp"

namespace gapwright::benchmarks {
namespace {

class SideProblem final : public Problem {
  public:
    SideProblem(const Network& network, const Specimen& specimen, const GapLight& light)
        : nodes_(network.nodes),
          size_(static_cast<int>(prepared::unknown_count(network))),
          elements_(prepared::prepare(network, specimen.values, specimen.conditions, light)) {}

    int size() const override { return size_; }
    void residual(const double* x, double* f) const override {
        assemble(x);
        Eigen::VectorXd::Map(f, size_) = system_.residual;
    }
    void jacobian(const double* x, double* j) const override {
        using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
        assemble(x);
        RowMajor::Map(j, size_, size_) = system_.jacobian;
    }
    // The current of an element at x, A.
    double current(std::size_t element, const std::vector<double>& x) const {
        const Eigen::VectorXd at = Eigen::VectorXd::Map(x.data(), size_);
        return prepared::element_currents(elements_, nodes_, at).main[element];
    }

  private:
    void assemble(const double* x) const {
        const Eigen::VectorXd at = Eigen::VectorXd::Map(x, size_);
        prepared::assemble(elements_, nodes_, at, prepared::controls_at(elements_, at), {},
                           system_);
    }

    std::size_t nodes_;
    int size_;
    std::vector<prepared::Element> elements_;
    mutable prepared::System system_;
};

}  // namespace

bool solve_with(OtherSolver& solver, const Circuit& circuit, const Specimen& specimen,
                const std::vector<StatePoint>& start) {
    const std::size_t gaps = circuit.gaps.size();
    std::vector<StatePoint> points(circuit.states.size());  // of which the emitters' currents count
    for (std::size_t s = 0; s < circuit.states.size(); ++s) {
        const SideProblem side(circuit.states[s].input, specimen, {});
        std::vector<double> x = start[s].input.unknowns;
        if (!solver.solve(side, x)) return false;
        points[s].input.currents.resize(start[s].input.currents.size());
        for (std::size_t g = 0; g < gaps; ++g) {
            const std::size_t emitter = to_index(circuit.gaps[g].emitter);
            points[s].input.currents[emitter] = side.current(emitter, x);
        }
    }
    const auto left = light_left_by_gap(circuit, specimen.values, specimen.conditions, points);
    for (std::size_t s = 0; s < circuit.states.size(); ++s) {
        const auto light = gap_light(circuit, specimen.values, specimen.conditions,
                                     emitter_currents(circuit, points[s]), left);
        const SideProblem side(circuit.states[s].output, specimen, light);
        std::vector<double> x = start[s].output.unknowns;
        if (!solver.solve(side, x)) return false;
    }
    return true;
}

}  // namespace gapwright::benchmarks
