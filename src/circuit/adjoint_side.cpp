#include "circuit/adjoint_side.hpp"
#include <array>
#include <cstddef>
#include <span>
#include <variant>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/element_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/prepared.hpp"
#include "circuit/probe.hpp"
#include "circuit/terminals.hpp"
#include "device/dual.hpp"
#include "device/junction.hpp"
#include "device/leakage.hpp"
#include "device/mosfet.hpp"
#include "device/transistor.hpp"

namespace gapwright {
namespace {

using Dual2 = Dual<double, 2>;

struct PartialOf {
    const Seeded& value;
    const std::array<double, 2>& control;  // V
    double branch_current;                 // A
    std::span<const Dual1> light;          // by gap

    Partial operator()(const Branch& e) const {
        const Dual1 voltage = e.voltage ? value(*e.voltage) : Dual1(0.0);
        const Dual1 resistance = e.resistance ? value(*e.resistance) : Dual1(0.0);
        return {.equation = voltage.slope[0] - resistance.slope[0] * branch_current};
    }
    Partial operator()(const LightResistorElement& e) const {
        const Dual1 resistance = resistance_at(e, value, light[to_index(e.lit_by)]);
        return {.equation = -resistance.slope[0] * branch_current};
    }
    Partial operator()(const JunctionElement& e) const {
        return {.main =
                    junction_current(law_at(e, value, temperature()), Dual1(control[0])).slope[0]};
    }
    Partial operator()(const BreakdownElement& e) const {
        return {.main =
                    breakdown_current(law_at(e, value, temperature()), Dual1(control[0])).slope[0]};
    }
    Partial operator()(const TransistorElement& e) const {
        const auto currents = transistor_currents(law_at(e, value, temperature()),
                                                  Dual1(control[0]), Dual1(control[1]));
        return {.main = currents.collector.slope[0], .base = currents.base.slope[0]};
    }
    Partial operator()(const MosfetElement& e) const {
        return {.main = drain_current(law_at(e, value, temperature()), Dual1(control[0]),
                                      Dual1(control[1]))
                            .slope[0]};
    }
    Partial operator()(const PhotocurrentElement& e) const {
        return {.main = light[to_index(e.lit_by)].slope[0]};
    }
    Partial operator()(const LeakageElement& e) const {
        return {.main = leakage_current(value(e.current), Dual1(control[0])).slope[0]};
    }

    Dual1 temperature() const { return value.around().temperature; }
};

// How an element's currents move with its control voltages.
struct Response {
    std::array<double, 2> main{};
    std::array<double, 2> base{};
};

struct ResponseOf {
    const std::array<double, 2>& control;

    Response operator()(const prepared::Source&) const { return {}; }
    Response operator()(const prepared::Photocurrent&) const { return {}; }
    Response operator()(const prepared::Diode& e) const {
        return one(junction_current(e.law, at()));
    }
    Response operator()(const prepared::Breakdown& e) const {
        return one(breakdown_current(e.law, at()));
    }
    Response operator()(const prepared::Leak& e) const {
        return one(leakage_current(e.current, at()));
    }
    Response operator()(const prepared::Bipolar& e) const {
        const auto c = transistor_currents(e.law, first(), second());
        return {c.collector.slope, c.base.slope};
    }
    Response operator()(const prepared::FieldEffect& e) const {
        return {drain_current(e.law, first(), second()).slope, {}};
    }

    Dual1 at() const { return Dual1::variable(control[0], 0); }
    Dual2 first() const { return Dual2::variable(control[0], 0); }
    Dual2 second() const { return Dual2::variable(control[1], 1); }
    static Response one(const Dual1& current) { return {{current.slope[0], 0}, {}}; }
};

}  // namespace

AdjointSide::AdjointSide(const Network& network, std::span<const double> values,
                         const Conditions& conditions, const GapLight& light,
                         const SidePoint& point)
    : network_(network),
      point_(point),
      elements_(prepared::prepare(network, values, conditions, light)),
      x_(Eigen::VectorXd::Map(point.unknowns.data(),
                              static_cast<Eigen::Index>(point.unknowns.size()))),
      controls_(prepared::controls_at(elements_, x_)) {
    prepared::System system;
    prepared::assemble(elements_, network.nodes, x_, controls_, {}, system);
    // Rows are scaled as in the solver; a row of nothing stays where it is.
    scale_ = Eigen::VectorXd::Ones(x_.size());
    for (Eigen::Index r = 0; r < x_.size(); ++r) {
        const double largest = system.jacobian.row(r).cwiseAbs().maxCoeff();
        if (largest > 0) scale_[r] = 1.0 / largest;
        if (!(largest > 0)) system.jacobian(r, r) = 1.0;
    }
    transposed_.compute((scale_.asDiagonal() * system.jacobian).transpose());
}

std::vector<Worth> AdjointSide::worth(const Probe& probe) const {
    std::vector<Worth> result(elements_.size());
    Eigen::VectorXd slope = Eigen::VectorXd::Zero(x_.size());
    for (const auto& port : probe.ports) add_port(probe.kind, port, result, slope);
    const Eigen::VectorXd adjoint = scale_.asDiagonal() * transposed_.solve(slope);
    const auto at = [&](Node n) { return n == Node::side_return ? 0.0 : adjoint[row(n)]; };
    Eigen::Index branch = first_branch();
    for (std::size_t k = 0; k < elements_.size(); ++k) {
        if (std::holds_alternative<prepared::Source>(elements_[k])) {
            result[k].equation -= adjoint[branch++];
            continue;
        }
        const prepared::Terminals t = std::visit(prepared::TerminalsOf{}, elements_[k]);
        result[k].main -= t.sign * (at(t.main.first) - at(t.main.second));
        result[k].base -= t.sign * (at(t.base.first) - at(t.base.second));
    }
    return result;
}

std::vector<Partial> AdjointSide::partials(const Seeded& seeded,
                                           std::span<const Dual1> light) const {
    std::vector<Partial> result;
    Eigen::Index branch = first_branch();
    for (std::size_t k = 0; k < elements_.size(); ++k) {
        const bool is_branch = std::holds_alternative<prepared::Source>(elements_[k]);
        const double current = is_branch ? x_[branch++] : 0.0;
        result.push_back(
            std::visit(PartialOf{seeded, controls_[k], current, light}, network_.elements[k]));
    }
    return result;
}

Eigen::Index AdjointSide::branch_of(std::size_t element) const {
    Eigen::Index branch = first_branch();
    for (std::size_t k = 0; k < element; ++k) {
        branch += std::holds_alternative<prepared::Source>(elements_[k]) ? 1 : 0;
    }
    return branch;
}

void AdjointSide::add_port(Probe::Kind kind, const Port& port, std::vector<Worth>& worths,
                           Eigen::VectorXd& slope) const {
    const double voltage = point_.voltage(port.plus) - point_.voltage(port.minus);
    double current = 0;
    for (const auto& term : port.current) {
        const auto k = to_index(term.element);
        current += term.main * point_.currents[k] + term.base * point_.base_currents[k];
    }
    const double of_voltage = kind == Probe::Kind::voltage ? 1.0
                              : kind == Probe::Kind::power ? current
                                                           : 0.0;
    const double of_current = kind == Probe::Kind::current ? 1.0
                              : kind == Probe::Kind::power ? voltage
                                                           : 0.0;
    if (port.plus != Node::side_return) slope[row(port.plus)] += of_voltage;
    if (port.minus != Node::side_return) slope[row(port.minus)] -= of_voltage;
    if (of_current == 0) return;
    for (const auto& term : port.current) {
        add_current(to_index(term.element), of_current * term.main, of_current * term.base, worths,
                    slope);
    }
}

void AdjointSide::add_current(std::size_t k, double main, double base, std::vector<Worth>& worths,
                              Eigen::VectorXd& slope) const {
    if (std::holds_alternative<prepared::Source>(elements_[k])) {
        slope[branch_of(k)] += main;
        return;
    }
    worths[k].main += main;
    worths[k].base += base;
    const prepared::Terminals t = std::visit(prepared::TerminalsOf{}, elements_[k]);
    const Response r = std::visit(ResponseOf{controls_[k]}, elements_[k]);
    for (std::size_t c = 0; c < 2; ++c) {
        const double weight = t.sign * (main * r.main[c] + base * r.base[c]);
        const auto [plus, minus] = t.control[c];
        if (plus != Node::side_return) slope[row(plus)] += weight;
        if (minus != Node::side_return) slope[row(minus)] -= weight;
    }
}

}  // namespace gapwright
