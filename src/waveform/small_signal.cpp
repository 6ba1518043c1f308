#include "waveform/small_signal.hpp"

#include <Eigen/Dense>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <complex>
#include <cstdint>
#include <memory>
#include <numbers>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "waveform/equations.hpp"
#include "waveform/schedule.hpp"

namespace gapwright {
namespace {

using waveforms::Equations;
using waveforms::Index;
using waveforms::MatrixXd;
using waveforms::VectorXd;

// How far a light-dependent resistor is taken from rest to see its slope to one side, as a share:
// more than rounding, less than matters.
constexpr double aside = 1e-9;
constexpr int steps_a_decade = 4;

// The rate of each slow light-dependent resistor, linearised to its slower side.
void take_slower_rates(Equations& equations, const VectorXd& y, MatrixXd& rest) {
    const Index first = equations.first_cell();
    const Index cells = equations.size() - first;
    if (cells == 0) return;
    const VectorXd still = VectorXd::Zero(y.size());
    VectorXd residual;
    MatrixXd rising;
    MatrixXd falling;
    VectorXd beside = y;
    beside.tail(cells) *= 1 - aside;
    equations.evaluate(0, beside, still, 0, residual, &rising);
    beside.tail(cells) = y.tail(cells) * (1 + aside);
    equations.evaluate(0, beside, still, 0, residual, &falling);
    for (Index q = first; q < equations.size(); ++q) {
        rest.row(q) = rising(q, q) < falling(q, q) ? rising.row(q) : falling.row(q);
    }
}

}  // namespace

struct SmallSignal::Linear {
    MatrixXd rest;      // G
    MatrixXd storing;   // C
    VectorXd sizes;     // of the unknowns
    Index driven = 0;   // the row of the drive
    Index outputs = 0;  // where the unknowns of the output side begin
};

SmallSignal::SmallSignal(const Circuit& circuit, std::span<const double> values,
                         const Conditions& conditions, StateIndex state,
                         const std::vector<StatePoint>& rest, ElementIndex drive) {
    const Schedule schedule{.from = state};
    Equations equations(circuit, values, conditions, schedule, rest);
    const VectorXd y = equations.at_rest(rest[to_index(state)]);
    const VectorXd still = VectorXd::Zero(y.size());
    auto linear = std::make_unique<Linear>();
    VectorXd residual;
    MatrixXd with_slopes;
    equations.evaluate(0, y, still, 0, residual, &linear->rest);
    equations.evaluate(0, y, still, 1, residual, &with_slopes);
    linear->storing = with_slopes - linear->rest;
    take_slower_rates(equations, y, linear->rest);
    linear->sizes = equations.sizes();
    linear->driven = equations.branch_row(Side::input, drive);
    linear->outputs = static_cast<Index>(rest[to_index(state)].input.unknowns.size());
    linear_ = std::move(linear);
}

SmallSignal::~SmallSignal() = default;
SmallSignal::SmallSignal(SmallSignal&&) noexcept = default;
SmallSignal& SmallSignal::operator=(SmallSignal&&) noexcept = default;

// Unknowns are measured by their sizes and rows scaled to a largest entry of 1, as the integrator
// does: the base of a dark receiver lives on femtosiemens beside contacts of tens of siemens.
std::complex<double> SmallSignal::transfer(const Probe& probe, double frequency) const {
    const Linear& l = *linear_;
    const std::complex<double> jw(0, 2 * std::numbers::pi * frequency);
    Eigen::MatrixXcd matrix = (l.rest + jw * l.storing) * l.sizes.asDiagonal();
    Eigen::VectorXcd right = Eigen::VectorXcd::Zero(matrix.rows());
    right[l.driven] = -1;
    for (Index r = 0; r < matrix.rows(); ++r) {
        const double largest = matrix.row(r).cwiseAbs().maxCoeff();
        if (largest == 0) {
            matrix(r, r) = 1;  // between blocked devices: it stays where it is
            continue;
        }
        matrix.row(r) /= largest;
        right[r] /= largest;
    }
    const Eigen::VectorXcd y =
        matrix.partialPivLu().solve(right).cwiseProduct(l.sizes.cast<std::complex<double>>());
    const Index first = probe.side == Side::input ? 0 : l.outputs;
    const auto at = [&](Node n) {
        return n == Node::side_return ? std::complex<double>(0)
                                      : y[first + static_cast<Index>(to_index(n)) - 1];
    };
    std::complex<double> sum = 0;
    for (const Port& port : probe.ports) sum += at(port.plus) - at(port.minus);
    return sum;
}

std::optional<double> SmallSignal::bandwidth(const Probe& probe) const {
    const double level = std::abs(transfer(probe, 0)) / std::numbers::sqrt2;
    if (!(level > 0)) return std::nullopt;
    // By the decade, so that a step means the same at every frequency.
    const auto above = [&](double decade) {
        return std::abs(transfer(probe, std::pow(10.0, decade))) - level;
    };
    const double first = std::log10(lowest_bandwidth);
    const int steps =
        static_cast<int>(std::lround(steps_a_decade * (std::log10(highest_bandwidth) - first)));
    double from = first;
    double at_from = above(first);
    for (int k = 1; k <= steps; ++k) {
        const double to = first + static_cast<double>(k) / steps_a_decade;
        const double at_to = above(to);
        if (at_from > 0 && at_to <= 0) {
            std::uintmax_t most = 60;
            const auto bracket = boost::math::tools::toms748_solve(
                above, from, to, at_from, at_to,
                [](double a, double b) { return std::abs(a - b) < 4e-10; }, most);
            return std::pow(10.0, 0.5 * (bracket.first + bracket.second));
        }
        from = to;
        at_from = at_to;
    }
    return std::nullopt;
}

}  // namespace gapwright
