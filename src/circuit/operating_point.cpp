#include "circuit/operating_point.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <limits>
#include <span>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"

namespace gapwright {
namespace prepared {

std::size_t unknown_count(const Network& network) {
    std::size_t sources = 0;
    for (const auto& element : network.elements) {
        sources += std::holds_alternative<gapwright::Branch>(element) ||
                           std::holds_alternative<gapwright::LightResistorElement>(element)
                       ? 1
                       : 0;
    }
    return network.nodes - 1 + sources;
}

}  // namespace prepared

namespace {

using prepared::Continuation;

// Newton's method stops when a step moves no unknown by more than this share of its size (or of
// `smallest_size`); being quadratic it has then about twice as many digits after the last step.
constexpr double step_tolerance = 1e-9;
constexpr double smallest_size = 1e-3;
constexpr int newton_limit = 150;
// A step as small as this says that only the rounding of the laws themselves is left.
constexpr double rounding_step = 1e-11;
// A side that hangs in the air by leakage alone trembles by so much, as its potential is known no
// better: after so many steps it is enough that its currents balance.
constexpr double trembling_step = 1e-6;
constexpr int patience = 40;
constexpr double no_current = 1e-24;  // A (or V): less than an electron in a day
constexpr double rounding = 8 * std::numeric_limits<double>::epsilon();

// The state of one solution under way.
struct Iteration {
    Eigen::VectorXd x;
    prepared::ControlVoltages control;
    int count = 0;
};

class Solver {
  public:
    Solver(std::size_t nodes, std::vector<prepared::Element> elements)
        : nodes_(nodes), elements_(std::move(elements)) {}

    Iteration begin(Eigen::VectorXd x) const {
        Iteration it{std::move(x), prepared::ControlVoltages(elements_.size()), 0};
        prepared::limit_controls(elements_, it.x, it.control);
        return it;
    }

    // Newton's method on the bent network. Returns whether it settled.
    bool newton(Iteration& it, const Continuation& bent, int limit = newton_limit) {
        for (int k = 0; k < limit; ++k) {
            ++it.count;
            prepared::assemble(elements_, nodes_, it.x, it.control, bent, system_);
            const Eigen::VectorXd step = solve();
            if (!step.allFinite()) return false;
            it.x += step;
            const bool limited = prepared::limit_controls(elements_, it.x, it.control);
            const double moved =
                (step.array().abs() / (it.x.array().abs() + smallest_size)).maxCoeff();
            if (limited) continue;
            if (moved <= rounding_step) return true;
            const bool trembles = k >= patience && moved <= trembling_step;
            if ((moved <= step_tolerance || trembles) && balanced(it, bent)) return true;
        }
        return false;
    }

    prepared::ElementCurrents currents(const Eigen::VectorXd& x) const {
        return prepared::element_currents(elements_, nodes_, x);
    }
    prepared::Balance balance(const prepared::ElementCurrents& currents) const {
        return prepared::balance(elements_, nodes_, currents);
    }

  private:
    // The Newton step. Rows are scaled to a largest entry of 1, since the base of a dark receiver
    // lives on femtosiemens beside contacts of tens of siemens.
    Eigen::VectorXd solve() const {
        Eigen::MatrixXd matrix = system_.jacobian;
        Eigen::VectorXd right = -system_.residual;
        for (Eigen::Index r = 0; r < matrix.rows(); ++r) {
            const double largest = matrix.row(r).cwiseAbs().maxCoeff();
            if (largest > 0) {
                matrix.row(r) /= largest;
                right[r] /= largest;
            } else {
                matrix(r, r) = 1;  // a node between blocked devices: it stays where it is
            }
        }
        return matrix.partialPivLu().solve(right);
    }

    // Each equation is met to 1e-12 of its terms, to what rounding allows, or to nothing at all.
    bool balanced(const Iteration& it, const Continuation& bent) {
        prepared::assemble(elements_, nodes_, it.x, it.control, bent, system_);
        const Eigen::VectorXd floor = rounding * (system_.jacobian.cwiseAbs() * it.x.cwiseAbs());
        return (system_.residual.array().abs() <=
                1e-12 * system_.size.array() + floor.array() + no_current)
            .all();
    }

    std::size_t nodes_;
    std::vector<prepared::Element> elements_;
    prepared::System system_;
};

// Lets the network settle as if every node had a capacitance: each step is Newton's method with a
// conductance from every node to where it was before, and that conductance falls as long as steps
// succeed (pseudo-transient continuation, Kelley & Keyes 1998).
bool by_settling(Solver& solver, Iteration& it) {
    constexpr double strongest = 1e3;  // S
    constexpr double weakest = 1e-24;
    constexpr int most_steps = 400;
    constexpr int most_iterations = 25;  // of one step
    double hold = 1e-2;
    for (int step = 0; step < most_steps; ++step) {
        if (hold < weakest) return solver.newton(it, {});
        Iteration next = it;
        const Eigen::VectorXd from = it.x;
        const bool settled = solver.newton(next, {.hold = hold, .hold_at = &from}, most_iterations);
        it.count = next.count;
        if (settled) {
            it = next;
            hold *= 0.1;
            continue;
        }
        hold *= 30;
        if (hold > strongest) return false;
    }
    return false;
}

// Raises every source and photocurrent from nothing; smaller steps where a step fails.
bool by_sources(Solver& solver, Iteration& it) {
    double reached = 0;
    double step = 0.1;
    Iteration last = it;
    while (reached < 1) {
        Iteration next = last;
        const double drive = std::min(1.0, reached + step);
        const bool settled = solver.newton(next, {.drive = drive});
        last.count = next.count;
        if (settled) {
            last = next;
            reached = drive;
            step *= 1.5;
        } else {
            step *= 0.4;
            if (step < 1e-5) return false;
        }
        it.count = last.count;
    }
    it = last;
    return true;
}

}  // namespace

std::expected<SidePoint, NotSettled> operating_point(const Network& network, Side side,
                                                     std::span<const double> values,
                                                     const Conditions& conditions,
                                                     const GapLight& light,
                                                     const SidePoint* start) {
    Solver solver(network.nodes, prepared::prepare(network, values, conditions, light));
    const auto size = static_cast<Eigen::Index>(prepared::unknown_count(network));
    const Eigen::VectorXd rest = Eigen::VectorXd::Zero(size);

    Iteration it;
    bool settled = false;
    int count = 0;
    if (start && static_cast<Eigen::Index>(start->unknowns.size()) == size) {
        it = solver.begin(Eigen::VectorXd::Map(start->unknowns.data(), size));
        settled = solver.newton(it, {});
        count += it.count;
    }
    const auto attempt = [&](auto&& method) {
        if (settled) return;
        it = solver.begin(rest);
        settled = method();
        count += it.count;
    };
    attempt([&] { return solver.newton(it, {}); });
    attempt([&] { return by_settling(solver, it); });
    attempt([&] { return by_sources(solver, it); });

    const auto currents = solver.currents(it.x);
    const auto balance = solver.balance(currents);
    Eigen::Index worst = 0;
    const double unbalanced =
        balance.unbalanced.size() == 0 ? 0.0 : balance.unbalanced.cwiseAbs().maxCoeff(&worst);
    const double allowed = absolute_balance + relative_balance * balance.largest_current;
    if (!settled || !(unbalanced <= allowed)) {
        return std::unexpected(NotSettled{side, static_cast<Node>(worst + 1), unbalanced});
    }
    return SidePoint{.unknowns = {it.x.begin(), it.x.end()},
                     .currents = currents.main,
                     .base_currents = currents.base,
                     .iterations = count,
                     .residual = unbalanced};
}

}  // namespace gapwright
