#include "population/complex_link.hpp"

#include <algorithm>

#include "circuit/element_laws.hpp"
#include "device/leakage.hpp"

namespace gapwright::testing_support {
namespace {

using Part = Complex::Part;

constexpr Part tiny = 1e-25L;  // of a figure's size

std::vector<Complex> complex_of(const std::vector<double>& real) {
    return {real.begin(), real.end()};
}

// Kirchhoff's law of one side at `x`: what each equation leaves over, and the elements' currents.
class Kirchhoff {
    // Reads one figure of the specimen.
    struct Values {
        const ComplexSpecimen& specimen;
        Complex operator()(Slot slot) const { return specimen.values[to_index(slot)]; }
    };
    template <class Law>
    auto law(const Law& e) const {
        return law_at(e, value_, temperature_);
    }

  public:
    Kirchhoff(const Network& network, const ComplexSpecimen& specimen,
              const std::vector<Complex>& light, std::vector<Complex> x)
        : value_{specimen},
          temperature_(specimen.conditions.temperature),
          light_(light),
          next_branch_(network.nodes - 1),
          left_(x.size()) {
        side_.unknowns = std::move(x);
        for (const auto& element : network.elements) std::visit(*this, element);
    }

    const std::vector<Complex>& left() const { return left_; }
    const ComplexSide& side() const { return side_; }

    void operator()(const Branch& e) {
        add_branch(e.from, e.to, e.voltage ? value_(*e.voltage) : Complex(0.0),
                   e.resistance ? value_(*e.resistance) : Complex(0.0));
    }
    void operator()(const LightResistorElement& e) {
        add_branch(e.from, e.to, Complex(0.0),
                   resistance_at(e, value_, light_[to_index(e.lit_by)]));
    }
    void operator()(const JunctionElement& e) {
        add(e.from, e.to, junction_current(law(e), between(e.from, e.to)));
    }
    void operator()(const BreakdownElement& e) {
        add(e.from, e.to, breakdown_current(law(e), between(e.from, e.to)));
    }
    void operator()(const LeakageElement& e) {
        add(e.from, e.to, leakage_current(value_(e.current), between(e.from, e.to)));
    }
    void operator()(const PhotocurrentElement& e) { add(e.from, e.to, light_[to_index(e.lit_by)]); }
    void operator()(const TransistorElement& e) {
        const Complex sign = e.pnp ? -1.0 : 1.0;
        const Node collector = e.pnp ? e.to : e.from;
        const Node emitter = e.pnp ? e.from : e.to;
        const auto currents = transistor_currents(law(e), sign * between(e.base, emitter),
                                                  sign * between(e.base, collector));
        flow(e.base, emitter, sign * currents.base);
        add(collector, emitter, currents.collector, sign, currents.base);
    }
    void operator()(const MosfetElement& e) {
        const Complex sign = e.p_channel ? -1.0 : 1.0;
        const Node drain = e.p_channel ? e.to : e.from;
        const Node source = e.p_channel ? e.from : e.to;
        add(drain, source,
            drain_current(law(e), sign * between(e.gate, source), sign * between(drain, source)),
            sign);
    }

  private:
    Complex between(Node a, Node b) const { return side_.voltage(a) - side_.voltage(b); }
    void flow(Node from, Node to, const Complex& current) {
        const auto leave = [&](Node node, const Complex& i) {
            if (node == Node::side_return) return;
            left_[to_index(node) - 1] = left_[to_index(node) - 1] + i;
        };
        leave(from, current);
        leave(to, -current);
    }
    void add(Node from, Node to, const Complex& main, const Complex& sign = 1.0,
             const Complex& base = 0.0) {
        flow(from, to, sign * main);
        side_.currents.push_back(main);
        side_.base_currents.push_back(base);
    }
    void add_branch(Node from, Node to, const Complex& voltage, const Complex& resistance) {
        const std::size_t k = next_branch_++;
        const Complex current = side_.unknowns[k];
        add(from, to, current);
        left_[k] = between(from, to) + voltage - resistance * current;
    }

    Values value_;
    Complex temperature_;
    const std::vector<Complex>& light_;
    std::size_t next_branch_;
    std::vector<Complex> left_;
    ComplexSide side_;
};

Factors factors_at(const Network& network, const ComplexSpecimen& specimen,
                   const std::vector<Complex>& light, const std::vector<double>& real) {
    const std::size_t size = real.size();
    std::vector<std::vector<Part>> jacobian(size, std::vector<Part>(size));
    for (std::size_t column = 0; column < size; ++column) {
        auto x = complex_of(real);
        x[column].im = tiny;
        const Kirchhoff law(network, specimen, light, std::move(x));
        for (std::size_t row = 0; row < size; ++row) {
            jacobian[row][column] = law.left()[row].im / tiny;
        }
    }
    return Factors(std::move(jacobian));
}

std::vector<Complex> light_of(const StatePoint& point) {
    return complex_of(point.light);
}

Complex measured_on(const Probe& probe, const ComplexSide& side) {
    Complex sum;
    for (const auto& port : probe.ports) {
        const Complex voltage = side.voltage(port.plus) - side.voltage(port.minus);
        Complex current;
        for (const auto& term : port.current) {
            const auto k = to_index(term.element);
            current = current + term.main * side.currents[k] + term.base * side.base_currents[k];
        }
        if (probe.kind == Probe::Kind::voltage) sum = sum + voltage;
        if (probe.kind == Probe::Kind::current) sum = sum + current;
        if (probe.kind == Probe::Kind::power) sum = sum + voltage * current;
    }
    return sum;
}

}  // namespace

ComplexSpecimen::ComplexSpecimen(std::span<const double> real, const Conditions& around)
    : values(real.begin(), real.end()), conditions{around.temperature, around.light, around.age} {}

Complex& ComplexSpecimen::figure(std::size_t row) {
    if (row < values.size()) return values[row];
    if (row == values.size()) return conditions.temperature;
    return row == values.size() + 1 ? conditions.light : conditions.age;
}

ComplexLink::ComplexLink(const Circuit& circuit, std::span<const double> values,
                         const Conditions& conditions, const std::vector<StatePoint>& points)
    : circuit_(circuit), points_(points), specimen_(values, conditions) {
    for (std::size_t s = 0; s < points.size(); ++s) {
        const auto& [input, output] = circuit.states[s];
        factors_.push_back(
            {factors_at(input, specimen_, {}, points[s].input.unknowns),
             factors_at(output, specimen_, light_of(points[s]), points[s].output.unknowns)});
    }
}

// Real parts stay as solve_link found them, so that every law stays on the side of its corners
// that it was on. Imaginary parts follow by Newton's method, which being linear in them is there
// at once; the further steps take out rounding.
ComplexSide ComplexLink::solved(const Network& network, const ComplexSpecimen& specimen,
                                const std::vector<Complex>& light, const std::vector<double>& real,
                                const Factors& factors) const {
    auto x = complex_of(real);
    for (int step = 0; step < 3; ++step) {
        const Kirchhoff law(network, specimen, light, x);
        std::vector<Part> right;
        for (const auto& left : law.left()) right.push_back(-left.im);
        const auto change = factors.solve(right);
        for (std::size_t k = 0; k < x.size(); ++k) x[k].im += change[k];
    }
    return Kirchhoff(network, specimen, light, x).side();
}

Complex ComplexLink::emitter_current(const ComplexState& state, std::size_t gap) const {
    return state.input.currents[to_index(circuit_.gaps[gap].emitter)];
}

std::vector<double> ComplexLink::derivatives(const std::vector<Measure>& measures,
                                             std::size_t figure, double size) const {
    const Part h = tiny * static_cast<Part>(size);
    ComplexSpecimen specimen = specimen_;
    specimen.figure(figure).im = h;
    const auto value = [&](Slot slot) { return specimen.values[to_index(slot)]; };

    std::vector<ComplexState> states(points_.size());
    for (std::size_t s = 0; s < states.size(); ++s) {
        states[s].input = solved(circuit_.states[s].input, specimen, {}, points_[s].input.unknowns,
                                 factors_[s].input);
    }
    for (std::size_t s = 0; s < states.size(); ++s) {
        std::vector<Complex> light;
        for (std::size_t g = 0; g < circuit_.gaps.size(); ++g) {
            const auto current = [&](std::size_t k) { return emitter_current(states[k], g); };
            const Gap& gap = circuit_.gaps[g];
            const auto& around = specimen.conditions;
            const Complex left =
                life_at(gap, value, around, circuit_.shares, states.size(), current);
            light.push_back(light_of_life(gap, value, around, current(s), left));
        }
        states[s].output = solved(circuit_.states[s].output, specimen, light,
                                  points_[s].output.unknowns, factors_[s].output);
    }
    std::vector<double> result;
    for (const auto& m : measures) {
        const ComplexState& state = states[to_index(m.state)];
        const ComplexSide& side = m.probe.side == Side::input ? state.input : state.output;
        result.push_back(static_cast<double>(measured_on(m.probe, side).im / h));
    }
    return result;
}

}  // namespace gapwright::testing_support
