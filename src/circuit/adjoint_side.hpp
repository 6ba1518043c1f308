// One solved side of one state, for derivatives. Internal to the layer.
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <span>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/gap_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/prepared.hpp"
#include "circuit/probe.hpp"
#include "circuit/sensitivity.hpp"
#include "device/dual.hpp"

namespace gapwright {

using Dual1 = Dual<double, 1>;

// A specimen in which one number has the derivative 1: figures by slot, then the conditions.
struct Seeded {
    std::span<const double> values;
    Conditions conditions;
    std::size_t seed;

    Dual1 number(double value, std::size_t index) const {
        return index == seed ? Dual1::variable(value, 0) : Dual1(value);
    }
    Dual1 operator()(Slot slot) const { return number(values[to_index(slot)], to_index(slot)); }
    ConditionsOf<Dual1> around() const {
        const FigureIndex index{values.size()};
        return {number(conditions.temperature, index.temperature()),
                number(conditions.light, index.light()), number(conditions.age, index.age())};
    }
};

// How an element's currents and, for a branch, its equation move with one number while voltages
// and branch currents stay.
struct Partial {
    double main = 0;
    double base = 0;
    double equation = 0;
};

// What a change of an element's currents, and of its equation, is worth to a quantity.
struct Worth {
    double main = 0;
    double base = 0;
    double equation = 0;

    double of(const Partial& p) const {
        return main * p.main + base * p.base + equation * p.equation;
    }
};

// One side in one state about its solution.
class AdjointSide {
  public:
    AdjointSide(const Network& network, std::span<const double> values,
                const Conditions& conditions, const GapLight& light, const SidePoint& point);

    // By element: what its changes are worth to a probe, circuit and all.
    std::vector<Worth> worth(const Probe& probe) const;

    // By element: how it moves with the seeded number, or with light that does.
    std::vector<Partial> partials(const Seeded& seeded, std::span<const Dual1> light) const;

  private:
    static Eigen::Index row(Node node) { return static_cast<Eigen::Index>(to_index(node)) - 1; }
    Eigen::Index first_branch() const { return static_cast<Eigen::Index>(network_.nodes) - 1; }

    Eigen::Index branch_of(std::size_t element) const;

    // A port's share: currents count with `of_current`, its voltage with `of_voltage`.
    void add_port(Probe::Kind kind, const Port& port, std::vector<Worth>& worths,
                  Eigen::VectorXd& slope) const;
    void add_current(std::size_t element, double main, double base, std::vector<Worth>& worths,
                     Eigen::VectorXd& slope) const;

    const Network& network_;
    const SidePoint& point_;
    std::vector<prepared::Element> elements_;
    Eigen::VectorXd x_;
    prepared::ControlVoltages controls_;
    Eigen::VectorXd scale_;
    Eigen::PartialPivLU<Eigen::MatrixXd> transposed_;
};

}  // namespace gapwright
