// One side of a made-up link as a system of equations of its own kind: unknowns are the nodes'
// voltages, and one inner voltage for each junction and transistor; the equations are Kirchhoff's
// current law at the nodes and the voltage lost inside each such part.
#pragma once

#include <map>
#include <string>
#include <variant>
#include <vector>

#include "reference/second_laws.hpp"

namespace gapwright::reference {

struct Ohms {
    double conductance;  // S
    double source = 0;   // V, raises the `from` end (a logic output's, a supply's)
    double leakage = 0;  // A, flows besides: a logic input's, an open contact's
};
struct OpenCircuit {};

struct SecondPart {
    std::string name;
    std::size_t from = 0, to = 0, control = 0;
    std::size_t before = 0;  // the node before it in its path: `from` but for a logic output
    std::size_t inner = 0;   // its unknown, if it has one
    bool mirrored = false;
    double photocurrent = 0;
    std::variant<Ohms, OpenCircuit, SecondJunction, SecondTransistor, SecondMosfet> law;
};

template <class Real>
struct PartCurrents {
    Real main{0};
    Real control{0};
};

class SecondSide {
  public:
    // `light`: by gap name, what second_light gives; empty on the input side.
    SecondSide(const MadeLink& link, bool input, const std::map<std::string, std::string>& settings,
               const std::map<std::string, double>& light);

    std::size_t unknowns() const { return unknowns_; }
    std::size_t node_unknowns() const { return nodes_ - 1; }
    const std::map<std::string, std::size_t>& nodes() const { return node_of_; }
    const std::vector<SecondPart>& parts() const { return parts_; }

    template <class Real>
    static Real voltage(const std::vector<Real>& x, std::size_t node) {
        return node == 0 ? Real(0) : x[node - 1];
    }
    // `share` scales every source and light, from 0 to 1.
    template <class Real>
    PartCurrents<Real> currents(const SecondPart& part, const std::vector<Real>& x,
                                Real share) const;
    template <class Real>
    std::vector<Real> residual(const std::vector<Real>& x, Real share) const;

  private:
    std::size_t node(const std::string& name);
    void add_part(const MadeLink& link, bool input, const std::string& name, std::size_t from,
                  std::size_t to);

    const std::map<std::string, std::string>& settings_;
    const std::map<std::string, double>& light_;
    std::map<std::string, std::size_t> node_of_;
    std::size_t nodes_ = 1;
    std::size_t unknowns_ = 0;
    std::vector<SecondPart> parts_;
    double ideal_supply_ = 0;  // V; 0 when the supply has a resistance
    std::size_t supply_node_ = 0;
};

template <class Real>
PartCurrents<Real> SecondSide::currents(const SecondPart& part, const std::vector<Real>& x,
                                        Real share) const {
    const Real a = voltage(x, part.from);
    const Real b = voltage(x, part.to);
    const Real c = voltage(x, part.control);
    if (const auto* ohms = std::get_if<Ohms>(&part.law)) {
        using std::tanh;
        const Real conducted = (a + share * Real(ohms->source) - b) * Real(ohms->conductance);
        if (ohms->leakage == 0) return {conducted};
        return {conducted + Real(ohms->leakage) * tanh((a - b) / Real(0.05L))};
    }
    if (const auto* junction = std::get_if<SecondJunction>(&part.law)) {
        return {junction->current(x[part.inner])};
    }
    if (const auto* transistor = std::get_if<SecondTransistor>(&part.law)) {
        // The inner unknown is the intrinsic collector–emitter voltage.
        const Real be = part.mirrored ? a - c : c - b;
        auto both = transistor->at(be, Real(be - x[part.inner]));
        const Real photo = share * Real(part.photocurrent);
        return {both.collector + photo, both.base - photo};
    }
    if (const auto* mosfet = std::get_if<SecondMosfet>(&part.law)) {
        const Real gs = part.mirrored ? a - c : c - b;
        return {mosfet->current(gs, Real(a - b))};
    }
    return {};
}

template <class Real>
std::vector<Real> SecondSide::residual(const std::vector<Real>& x, Real share) const {
    std::vector<Real> result(unknowns_, Real(0));
    auto leave = [&](std::size_t node_index, Real amount) {
        if (node_index) result[node_index - 1] += amount;
    };
    for (const auto& part : parts_) {
        const auto flow = currents(part, x, share);
        const Real across = voltage(x, part.from) - voltage(x, part.to);
        const auto* transistor = std::get_if<SecondTransistor>(&part.law);
        // `main` is the collector's: the emitter carries the base current as well.
        const Real at_from = part.mirrored ? Real(flow.main + flow.control) : flow.main;
        const Real at_to = part.mirrored ? flow.main : Real(flow.main + flow.control);
        leave(part.from, at_from);
        leave(part.to, -at_to);
        if (part.control) leave(part.control, part.mirrored ? Real(-flow.control) : flow.control);
        if (const auto* junction = std::get_if<SecondJunction>(&part.law)) {
            result[part.inner] = across - x[part.inner] - Real(junction->resistance) * flow.main;
        } else if (transistor) {
            result[part.inner] = across - x[part.inner] - Real(transistor->resistance) * flow.main;
        }
    }
    if (ideal_supply_ > 0) {  // the supply gives what its node takes
        result[supply_node_ - 1] = x[supply_node_ - 1] - share * Real(ideal_supply_);
    }
    return result;
}

}  // namespace gapwright::reference
