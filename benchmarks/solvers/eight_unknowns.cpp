#include "solvers/eight_unknowns.hpp"

#include <stdexcept>

#include "circuit/element_laws.hpp"
#include "circuit/step_limits.hpp"
#include "device/dual.hpp"

namespace gapwright::benchmarks {

std::string eight_unknowns_text() {
    return R"(title = "Eight unknowns"
[surroundings]
temperature = "-10 .. 50 °C"
working_voltage = "24 V"
[input]
supply = { voltage = "5 V ± 5 %", resistance = "1 Ω ± 20 %" }
paths = ["supply > R1 > D1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > D2 > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "330 Ω ± 5 %" }
R2 = { kind = "resistor", value = "2.2 kΩ ± 5 %" }
D1 = { kind = "diode", forward = "0.7 V (0.6 .. 0.8 V) at 10 mA", ideality = "1.8 ± 5 %", series_resistance = "0 Ω" }
D2 = { kind = "diode", forward = "0.7 V (0.6 .. 0.8 V) at 10 mA", ideality = "1.8 ± 5 %", series_resistance = "0 Ω" }
U1 = { card = "four-pin-coupler-b" }
[states]
on = {}
[[promise]]
state = "on"
current = "R2"
at_least = "0.5 mA"
)";
}

namespace {

using Dual1 = Dual<double, 1>;
using Dual2 = Dual<double, 2>;

template <class Wanted>
std::vector<const Wanted*> all_of(const Network& network) {
    std::vector<const Wanted*> found;
    for (const auto& e : network.elements) {
        if (const auto* w = std::get_if<Wanted>(&e)) found.push_back(w);
    }
    return found;
}

Slot slot_named(const LinkCircuit& circuit, const std::string& name) {
    for (std::size_t k = 0; k < circuit.parameters.size(); ++k) {
        if (circuit.name_of(static_cast<Slot>(k)) == name) return static_cast<Slot>(k);
    }
    throw std::runtime_error("no figure " + name);
}

}  // namespace

EightUnknowns::Slots::Slots(const LinkCircuit& circuit)
    : input_supply(slot_named(circuit, "input.supply.voltage")),
      input_resistance(slot_named(circuit, "input.supply.resistance")),
      r1(slot_named(circuit, "R1.value")),
      r2(slot_named(circuit, "R2.value")),
      output_supply(slot_named(circuit, "output.supply.voltage")),
      emitter_series(slot_named(circuit, "U1.series_resistance")),
      collector_resistance(slot_named(circuit, "U1.collector_resistance")),
      gap(&circuit.circuit.gaps.front()) {
    const auto inputs = all_of<JunctionElement>(circuit.circuit.states[0].input);
    d1 = inputs.at(0);
    emitter = inputs.at(1);
    d2 = all_of<JunctionElement>(circuit.circuit.states[0].output).at(0);
    receiver = all_of<TransistorElement>(circuit.circuit.states[0].output).at(0);
}

EightUnknowns::EightUnknowns(const Slots& slots, const Specimen& specimen)
    : temperature_(specimen.conditions.temperature) {
    const auto value = [&](Slot slot) { return specimen.values[to_index(slot)]; };
    input_supply_ = value(slots.input_supply);
    input_conductance_ = 1 / value(slots.input_resistance);
    g1_ = 1 / value(slots.r1);
    g2_ = 1 / value(slots.r2);
    output_supply_ = value(slots.output_supply);
    emitter_conductance_ = 1 / value(slots.emitter_series);
    collector_conductance_ = 1 / value(slots.collector_resistance);
    d1_ = law_at(*slots.d1, value, temperature_);
    emitter_ = law_at(*slots.emitter, value, temperature_);
    d2_ = law_at(*slots.d2, value, temperature_);
    receiver_ = law_at(*slots.receiver, value, temperature_);
    const auto& t = std::get<CouplerGap>(slots.gap->kind).transfer;
    transfer_ = {.photocurrent_ratio = value(t.photocurrent_ratio),
                 .low_knee = value(t.low_knee),
                 .high_knee = value(t.high_knee),
                 .temperature_coefficient = value(t.temperature_coefficient),
                 .dark_current = value(t.dark_current)};
}

struct EightUnknowns::Currents {
    Dual1 d1, emitter, d2;
    TransistorCurrents<Dual2> receiver;  // by base–emitter, base–collector
    double light;
    double light_slope;  // to the emitter's current
};

void EightUnknowns::controls_at(const double* x, double* control) {
    control[0] = x[0] - x[1];
    control[1] = x[1] - x[2];
    control[2] = x[4] - x[5];
    control[3] = x[7];
    control[4] = x[7] - x[6];
}

EightUnknowns::Currents EightUnknowns::currents(const double* control) const {
    Currents c;
    c.d1 = junction_current(d1_, Dual1::variable(control[0], 0));
    c.emitter = junction_current(emitter_, Dual1::variable(control[1], 0));
    c.d2 = junction_current(d2_, Dual1::variable(control[2], 0));
    c.receiver = transistor_currents(receiver_, Dual2::variable(control[3], 0),
                                     Dual2::variable(control[4], 1));
    const Transfer<Dual1> transfer{transfer_.photocurrent_ratio, transfer_.low_knee,
                                   transfer_.high_knee, transfer_.temperature_coefficient,
                                   transfer_.dark_current};
    const Dual1 light = coupler_photocurrent(transfer, Dual1::variable(c.emitter.value, 0),
                                             Dual1(temperature_), Dual1(1.0));
    c.light = light.value;
    c.light_slope = light.slope[0];
    return c;
}

void EightUnknowns::residual(const double* x, double* f) const {
    double control[controls];
    controls_at(x, control);
    residual(currents(control), x, f);
}

void EightUnknowns::jacobian(const double* x, double* j) const {
    double control[controls];
    controls_at(x, control);
    jacobian(currents(control), j);
}

void EightUnknowns::tangent(const double* x, const double* control, double* f, double* j) const {
    Currents c = currents(control);
    jacobian(c, j);
    double now[controls];
    controls_at(x, now);
    c.d1.value += c.d1.slope[0] * (now[0] - control[0]);
    const double emitter_shift = c.emitter.slope[0] * (now[1] - control[1]);
    c.emitter.value += emitter_shift;
    c.light += c.light_slope * emitter_shift;
    c.d2.value += c.d2.slope[0] * (now[2] - control[2]);
    for (auto* current : {&c.receiver.collector, &c.receiver.base}) {
        current->value +=
            current->slope[0] * (now[3] - control[3]) + current->slope[1] * (now[4] - control[4]);
    }
    residual(c, x, f);
}

void EightUnknowns::residual(const Currents& c, const double* x, double* f) const {
    f[0] = g1_ * (x[0] - x[3]) + c.d1.value;
    f[1] = c.emitter.value - c.d1.value;
    f[2] = emitter_conductance_ * x[2] - c.emitter.value;
    f[3] = input_conductance_ * (x[3] - input_supply_) + g1_ * (x[3] - x[0]);
    f[4] = g2_ * (x[4] - output_supply_) + c.d2.value;
    f[5] = collector_conductance_ * (x[5] - x[6]) - c.d2.value;
    f[6] = collector_conductance_ * (x[6] - x[5]) + c.receiver.collector.value + c.light;
    f[7] = c.receiver.base.value - c.light;
}

void EightUnknowns::jacobian(const Currents& c, double* j) const {
    const auto at = [&](int row, int column) -> double& { return j[row * unknowns + column]; };
    for (int k = 0; k < unknowns * unknowns; ++k) j[k] = 0;
    const double d1 = c.d1.slope[0];
    const double emitter = c.emitter.slope[0];
    const double d2 = c.d2.slope[0];
    at(0, 0) = g1_ + d1;
    at(0, 1) = -d1;
    at(0, 3) = -g1_;
    at(1, 0) = -d1;
    at(1, 1) = d1 + emitter;
    at(1, 2) = -emitter;
    at(2, 1) = -emitter;
    at(2, 2) = emitter + emitter_conductance_;
    at(3, 0) = -g1_;
    at(3, 3) = g1_ + input_conductance_;
    at(4, 4) = g2_ + d2;
    at(4, 5) = -d2;
    at(5, 4) = -d2;
    at(5, 5) = d2 + collector_conductance_;
    at(5, 6) = -collector_conductance_;
    const auto& collector = c.receiver.collector.slope;
    const auto& base = c.receiver.base.slope;
    at(6, 5) = -collector_conductance_;
    at(6, 6) = collector_conductance_ - collector[1];
    at(6, 7) = collector[0] + collector[1];
    at(7, 6) = -base[1];
    at(7, 7) = base[0] + base[1];
    at(6, 1) = c.light_slope * emitter;
    at(6, 2) = -at(6, 1);
    at(7, 1) = -at(6, 1);
    at(7, 2) = at(6, 1);
}

bool EightUnknowns::move(const double* x, double* control) const {
    double wanted[controls];
    controls_at(x, wanted);
    const JunctionAt<double> receiver{receiver_.transport_current, receiver_.thermal_voltage};
    const JunctionAt<double>* laws[controls] = {&d1_, &emitter_, &d2_, &receiver, &receiver};
    bool arrived = true;
    for (int k = 0; k < controls; ++k) {
        const double slope = laws[k]->slope_voltage;
        const double knee = junction_knee(laws[k]->saturation_current, slope);
        const double allowed = k < 3 ? limit_step(control[k], wanted[k], knee, slope)
                                     : limit_rise(control[k], wanted[k], knee, slope);
        arrived = arrived && allowed == wanted[k];
        control[k] = allowed;
    }
    return arrived;
}

}  // namespace gapwright::benchmarks
