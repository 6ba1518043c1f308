// Derivatives of a solved link by the complex step (Squire & Trapp 1998, "Using complex variables
// to estimate derivatives of real functions"): one figure gets an imaginary part h so small that
// its square is nothing; the imaginary part of anything computed from it, over h, is the derivative
// without any difference being taken.
//
// Independent of the program's Jacobians: its own Kirchhoff's law over the laws' templates, its own
// Jacobian (by the complex step too) and its own elimination.
#pragma once

#include <span>
#include <vector>

#include "circuit/gap_laws.hpp"
#include "circuit/probe.hpp"
#include "population/complex_number.hpp"
#include "population/long_factors.hpp"

namespace gapwright::testing_support {

// A specimen with complex figures.
struct ComplexSpecimen {
    std::vector<Complex> values;
    ConditionsOf<Complex> conditions;

    ComplexSpecimen(std::span<const double> real, const Conditions& around);
    // By row: the figures by slot, then temperature, light, age.
    Complex& figure(std::size_t row);
};

struct ComplexSide {
    std::vector<Complex> unknowns;
    std::vector<Complex> currents;
    std::vector<Complex> base_currents;

    Complex voltage(Node node) const {
        return node == Node::side_return ? Complex(0.0) : unknowns[to_index(node) - 1];
    }
};

struct ComplexState {
    ComplexSide input;
    ComplexSide output;
};

class ComplexLink {
  public:
    ComplexLink(const Circuit& circuit, std::span<const double> values,
                const Conditions& conditions, const std::vector<StatePoint>& points);

    // d(measure)/d(figure), by measure. `size`: a typical size of the figure, above zero.
    std::vector<double> derivatives(const std::vector<Measure>& measures, std::size_t figure,
                                    double size) const;

  private:
    struct Sides {
        Factors input;
        Factors output;
    };

    Complex emitter_current(const ComplexState& state, std::size_t gap) const;
    ComplexSide solved(const Network& network, const ComplexSpecimen& specimen,
                       const std::vector<Complex>& light, const std::vector<double>& real,
                       const Factors& factors) const;

    const Circuit& circuit_;
    const std::vector<StatePoint>& points_;
    ComplexSpecimen specimen_;
    std::vector<Sides> factors_;  // by state
};

}  // namespace gapwright::testing_support
