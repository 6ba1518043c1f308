#include "circuit/assembly.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/prepared.hpp"
#include "circuit/step_limits.hpp"
#include "device/dual.hpp"
#include "device/junction.hpp"
#include "device/leakage.hpp"
#include "device/mosfet.hpp"
#include "device/transistor.hpp"

namespace gapwright::prepared {
namespace {

using Dual1 = Dual<double, 1>;
using Dual2 = Dual<double, 2>;

double node_voltage(const Eigen::VectorXd& x, Node node) {
    return node == Node::side_return ? 0.0 : x[static_cast<Eigen::Index>(to_index(node)) - 1];
}

// The control voltages of each kind of element at node voltages x.
struct ControlsOf {
    const Eigen::VectorXd& x;

    double between(Node a, Node b) const { return node_voltage(x, a) - node_voltage(x, b); }

    std::array<double, 2> operator()(const Source&) const { return {}; }
    std::array<double, 2> operator()(const Diode& e) const { return {between(e.from, e.to), 0}; }
    std::array<double, 2> operator()(const Breakdown& e) const {
        return {between(e.from, e.to), 0};
    }
    std::array<double, 2> operator()(const Bipolar& e) const {
        return {e.polarity * between(e.base, e.emitter), e.polarity * between(e.base, e.collector)};
    }
    std::array<double, 2> operator()(const FieldEffect& e) const {
        return {e.polarity * between(e.gate, e.source), e.polarity * between(e.drain, e.source)};
    }
    std::array<double, 2> operator()(const Leak& e) const { return {between(e.from, e.to), 0}; }
    std::array<double, 2> operator()(const Photocurrent&) const { return {}; }
};

struct Limiter {
    const std::array<double, 2>& last;
    std::array<double, 2> wanted;

    std::array<double, 2> operator()(const Diode& e) const {
        const double slope = e.law.slope_voltage;
        return {
            limit_step(last[0], wanted[0], junction_knee(e.law.saturation_current, slope), slope),
            0};
    }
    std::array<double, 2> operator()(const Breakdown& e) const {
        const double slope = e.law.slope_voltage;
        const double knee = e.law.knee_voltage + junction_knee(e.law.knee_current, slope);
        return {limit_step(last[0], wanted[0], knee, slope), 0};
    }
    std::array<double, 2> operator()(const Bipolar& e) const {
        const double slope = e.law.thermal_voltage;
        const double knee = junction_knee(e.law.transport_current, slope);
        return {limit_rise(last[0], wanted[0], knee, slope),
                limit_rise(last[1], wanted[1], knee, slope)};
    }
    template <class Other>
    std::array<double, 2> operator()(const Other&) const {
        return wanted;
    }
};

// Adds one element after another to the system.
class Assembler {
  public:
    Assembler(System& system, const Eigen::VectorXd& x, std::size_t nodes, const Continuation& bent)
        : system_(system), x_(x), bent_(bent), next_source_(static_cast<Eigen::Index>(nodes) - 1) {}

    void add(const Element& element, const std::array<double, 2>& control) {
        control_ = control;
        std::visit(*this, element);
    }

    void operator()(const Source& e) {
        const Eigen::Index k = next_source_++;
        flow(e.from, e.to, x_[k]);
        if (row(e.from) >= 0) system_.jacobian(row(e.from), k) += 1.0;
        if (row(e.to) >= 0) system_.jacobian(row(e.to), k) -= 1.0;
        const double voltage = bent_.drive * e.voltage;
        system_.residual[k] = at(e.from) - at(e.to) + voltage - e.resistance * x_[k];
        system_.size[k] = std::abs(at(e.from)) + std::abs(at(e.to)) + std::abs(voltage) +
                          std::abs(e.resistance * x_[k]);
        if (row(e.from) >= 0) system_.jacobian(k, row(e.from)) += 1.0;
        if (row(e.to) >= 0) system_.jacobian(k, row(e.to)) -= 1.0;
        system_.jacobian(k, k) -= e.resistance;
    }
    void operator()(const Diode& e) {
        add_junction(e, junction_current(e.law, Dual1::variable(control_[0], 0)));
    }
    void operator()(const Breakdown& e) {
        add_junction(e, breakdown_current(e.law, Dual1::variable(control_[0], 0)));
    }
    void operator()(const Leak& e) {
        add_junction(e, leakage_current(e.current, Dual1::variable(control_[0], 0)));
    }
    void operator()(const Bipolar& e) {
        const auto currents = transistor_currents(e.law, Dual2::variable(control_[0], 0),
                                                  Dual2::variable(control_[1], 1));
        const double shift0 = e.polarity * (at(e.base) - at(e.emitter)) - control_[0];
        const double shift1 = e.polarity * (at(e.base) - at(e.collector)) - control_[1];
        const auto whole = [&](const Dual2& i) {
            return i.value + i.slope[0] * shift0 + i.slope[1] * shift1;
        };
        flow(e.collector, e.emitter, e.polarity * whole(currents.collector));
        flow(e.base, e.emitter, e.polarity * whole(currents.base));
        slope(e.collector, e.emitter, e.base, e.emitter, currents.collector.slope[0]);
        slope(e.collector, e.emitter, e.base, e.collector, currents.collector.slope[1]);
        slope(e.base, e.emitter, e.base, e.emitter, currents.base.slope[0]);
        slope(e.base, e.emitter, e.base, e.collector, currents.base.slope[1]);
    }
    void operator()(const Photocurrent& e) { flow(e.from, e.to, bent_.drive * e.current); }
    void operator()(const FieldEffect& e) {
        const Dual2 current =
            drain_current(e.law, Dual2::variable(control_[0], 0), Dual2::variable(control_[1], 1));
        const double shift0 = e.polarity * (at(e.gate) - at(e.source)) - control_[0];
        const double shift1 = e.polarity * (at(e.drain) - at(e.source)) - control_[1];
        const double whole = current.value + current.slope[0] * shift0 + current.slope[1] * shift1;
        flow(e.drain, e.source, e.polarity * whole);
        slope(e.drain, e.source, e.gate, e.source, current.slope[0]);
        slope(e.drain, e.source, e.drain, e.source, current.slope[1]);
    }

  private:
    static Eigen::Index row(Node node) { return static_cast<Eigen::Index>(to_index(node)) - 1; }
    double at(Node node) const { return node_voltage(x_, node); }

    // `current` leaves `from` and enters `to`.
    void flow(Node from, Node to, double current) {
        if (row(from) >= 0) {
            system_.residual[row(from)] += current;
            system_.size[row(from)] += std::abs(current);
        }
        if (row(to) >= 0) {
            system_.residual[row(to)] -= current;
            system_.size[row(to)] += std::abs(current);
        }
    }
    // The current from → to grows by `g` for each volt of v(plus) − v(minus).
    void slope(Node from, Node to, Node plus, Node minus, double g) {
        for (const auto& [node, sign] : {std::pair{from, 1.0}, std::pair{to, -1.0}}) {
            if (row(node) < 0) continue;
            if (row(plus) >= 0) system_.jacobian(row(node), row(plus)) += sign * g;
            if (row(minus) >= 0) system_.jacobian(row(node), row(minus)) -= sign * g;
        }
    }
    template <class TwoTerminal>
    void add_junction(const TwoTerminal& e, const Dual1& current) {
        const double shift = at(e.from) - at(e.to) - control_[0];
        flow(e.from, e.to, current.value + current.slope[0] * shift);
        slope(e.from, e.to, e.from, e.to, current.slope[0]);
    }

    System& system_;
    const Eigen::VectorXd& x_;
    Continuation bent_;
    Eigen::Index next_source_;
    std::array<double, 2> control_{};
};

// The exact currents of one element, {main, base}.
struct CurrentsOf {
    const Eigen::VectorXd& x;
    Eigen::Index& next_source;

    std::array<double, 2> controls(const Element& e) const { return std::visit(ControlsOf{x}, e); }
    std::array<double, 2> operator()(const Source&) const { return {x[next_source++], 0}; }
    std::array<double, 2> operator()(const Diode& e) const {
        return {junction_current(e.law, controls(e)[0]), 0};
    }
    std::array<double, 2> operator()(const Breakdown& e) const {
        return {breakdown_current(e.law, controls(e)[0]), 0};
    }
    std::array<double, 2> operator()(const Leak& e) const {
        return {leakage_current(e.current, controls(e)[0]), 0};
    }
    std::array<double, 2> operator()(const Bipolar& e) const {
        const auto [base_emitter, base_collector] = controls(e);
        const auto currents = transistor_currents(e.law, base_emitter, base_collector);
        return {currents.collector, currents.base};
    }
    std::array<double, 2> operator()(const Photocurrent& e) const { return {e.current, 0}; }
    std::array<double, 2> operator()(const FieldEffect& e) const {
        const auto [gate_source, drain_source] = controls(e);
        return {drain_current(e.law, gate_source, drain_source), 0};
    }
};

// Calls flow(from, to, current) for the current or currents of one element.
template <class Flow>
void each_flow(const Element& element, double main, double base, const Flow& flow) {
    if (const auto* e = std::get_if<Bipolar>(&element)) {
        flow(e->collector, e->emitter, e->polarity * main);
        flow(e->base, e->emitter, e->polarity * base);
    } else if (const auto* f = std::get_if<FieldEffect>(&element)) {
        flow(f->drain, f->source, f->polarity * main);
    } else {
        std::visit(
            [&](const auto& two) {
                if constexpr (requires { two.to; }) flow(two.from, two.to, main);
            },
            element);
    }
}

}  // namespace

ControlVoltages controls_at(const std::vector<Element>& elements, const Eigen::VectorXd& x) {
    ControlVoltages controls;
    for (const auto& element : elements) controls.push_back(std::visit(ControlsOf{x}, element));
    return controls;
}

bool limit_controls(const std::vector<Element>& elements, const Eigen::VectorXd& x,
                    ControlVoltages& last) {
    bool limited = false;
    for (std::size_t k = 0; k < elements.size(); ++k) {
        const auto wanted = std::visit(ControlsOf{x}, elements[k]);
        const auto allowed = std::visit(Limiter{last[k], wanted}, elements[k]);
        limited = limited || allowed != wanted;
        last[k] = allowed;
    }
    return limited;
}

void assemble(const std::vector<Element>& elements, std::size_t nodes, const Eigen::VectorXd& x,
              const ControlVoltages& control, const Continuation& bent, System& system) {
    system.jacobian.setZero(x.size(), x.size());
    system.residual.setZero(x.size());
    system.size.setZero(x.size());
    Assembler assembler(system, x, nodes, bent);
    for (std::size_t k = 0; k < elements.size(); ++k) assembler.add(elements[k], control[k]);
    if (!bent.hold_at) return;
    for (Eigen::Index k = 0; k + 1 < static_cast<Eigen::Index>(nodes); ++k) {
        const double current = bent.hold * (x[k] - (*bent.hold_at)[k]);
        system.residual[k] += current;
        system.size[k] += std::abs(current);
        system.jacobian(k, k) += bent.hold;
    }
}

ElementCurrents element_currents(const std::vector<Element>& elements, std::size_t nodes,
                                 const Eigen::VectorXd& x) {
    ElementCurrents result;
    Eigen::Index next_source = static_cast<Eigen::Index>(nodes) - 1;
    for (const auto& element : elements) {
        const auto [main, base] = std::visit(CurrentsOf{x, next_source}, element);
        result.main.push_back(main);
        result.base.push_back(base);
    }
    return result;
}

Balance balance(const std::vector<Element>& elements, std::size_t nodes,
                const ElementCurrents& currents) {
    Balance result;
    result.unbalanced.setZero(static_cast<Eigen::Index>(nodes));
    const auto flow = [&](Node from, Node to, double current) {
        result.unbalanced[static_cast<Eigen::Index>(to_index(from))] += current;
        result.unbalanced[static_cast<Eigen::Index>(to_index(to))] -= current;
        result.largest_current = std::max(result.largest_current, std::abs(current));
    };
    for (std::size_t k = 0; k < elements.size(); ++k) {
        each_flow(elements[k], currents.main[k], currents.base[k], flow);
    }
    result.unbalanced = result.unbalanced.tail(static_cast<Eigen::Index>(nodes) - 1).eval();
    return result;
}

}  // namespace gapwright::prepared
