// The yardstick of sensitivity_test.cpp, itself measured.
#include <gtest/gtest.h>

#include <iostream>

#include "population/complex_link.hpp"
#include "population/sensitivity_subject.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

Specimen with_figure(Specimen specimen, std::size_t row, double value) {
    const std::size_t slots = specimen.values.size();
    Conditions& c = specimen.conditions;
    (row < slots        ? specimen.values[row]
     : row == slots     ? c.temperature
     : row == slots + 1 ? c.light
                        : c.age) = value;
    return specimen;
}

// Against plain differences of solutions: these have few digits, but nothing
// in common with it. Differences of femtoamperes say nothing, hence the floor.
TEST(ComplexStep, IsWhatDifferencesOfSolutionsTendTo) {
    std::size_t compared = 0;
    for (const auto& s : examples()) {
        const Circuit& circuit = s.circuit.circuit;
        const Specimen specimen = draw_specimen(s.circuit, s.ranges, 5, 0);
        const auto points = solve_link(circuit, specimen.values, specimen.conditions);
        ASSERT_TRUE(points);
        const ComplexLink complex(circuit, specimen.values, specimen.conditions, *points);
        for (const auto& f : s.figures) {
            const double figure = figure_of(specimen, f.figure);
            const double width = f.highest - f.lowest;
            const double step = 1e-4 * (figure != 0 ? std::min(width, std::abs(figure)) : width);
            const auto measured = [&](double moved) {
                const Specimen there = with_figure(specimen, f.figure, moved);
                const auto solved = solve_link(circuit, there.values, there.conditions);
                std::vector<double> result;
                for (const auto& m : s.measures) {
                    result.push_back(measure(m.probe, solved.value()[to_index(m.state)]));
                }
                return result;
            };
            const auto above = measured(figure + step);
            const auto below = measured(figure - step);
            const auto exact = complex.derivatives(s.measures, f.figure, size_of(f, figure));
            for (std::size_t m = 0; m < exact.size(); ++m) {
                const double value = exact[m];
                const double difference = (above[m] - below[m]) / (2 * step);
                EXPECT_NEAR(difference, value, 1e-5 * std::abs(value) + 1e-13 / step)
                    << s.name << ", measure " << m << " to " << s.figure_name(f.figure);
                compared += std::abs(value) > 1e-8 / step ? 1 : 0;
            }
        }
    }
    std::cout << compared << " derivatives with digits enough\n";
    EXPECT_GT(compared, 500U);
}

}  // namespace
}  // namespace gapwright
