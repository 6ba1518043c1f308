// Adjoint derivatives against derivatives by the complex step, and by hand.
#include "circuit/sensitivity.hpp"

#include <gtest/gtest.h>

#include <iostream>
#include <set>

#include "population/complex_link.hpp"
#include "population/sensitivity_subject.hpp"
#include "reference/made_networks.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

// What a comparison has met, so that a test that compares nothing does not pass.
struct Met {
    std::size_t specimens = 0;
    std::size_t derivatives = 0;
    std::size_t not_zero = 0;
    std::size_t by_size_alone = 0;  // of these: within the bar without its floor
    std::set<std::string> moving_conditions;
    std::set<std::size_t> elements;  // kinds, by their index in Element
    double worst = 0;                // difference in units of the bar

    void look_at(const Circuit& circuit) {
        for (const auto& state : circuit.states) {
            for (const Side side : {Side::input, Side::output}) {
                for (const auto& e : state.side(side).elements) elements.insert(e.index());
            }
        }
    }
};

// A derivative is held to 1e-10 of itself, and to this much for a change of the figure by all of
// its size: a hundredth of the 1 pA that Kirchhoff's law is held to, and of what lanes and single
// points are held to in volts and watts. Less than that is rounding, in which the two differ where
// a measure is a small difference (a closed contact's voltage, a saturated stage's gain) of what
// the figure does elsewhere: of microvolts out of volts ten digits are not to be had.
// (That the floor is not what lets most of them pass is counted.)
double floor_of(const Measure& m) {
    return m.probe.kind == Probe::Kind::voltage ? 1e-12 : 1e-14;
}

void compare(const Subject& s, const Specimen& specimen, const std::string& which, Met& met) {
    const Circuit& circuit = s.circuit.circuit;
    const auto points = solve_link(circuit, specimen.values, specimen.conditions);
    if (!points) return;
    ++met.specimens;
    met.look_at(circuit);
    std::vector<std::size_t> rows;
    for (const auto& f : s.figures) rows.push_back(f.figure);
    const auto adjoint =
        sensitivities(circuit, specimen.values, specimen.conditions, *points, s.measures, rows);
    ASSERT_EQ(adjoint.size(), s.measures.size());
    const ComplexLink complex(circuit, specimen.values, specimen.conditions, *points);
    std::vector<std::vector<double>> exact;  // by figure, then by measure
    for (const auto& f : s.figures) {
        const double size = size_of(f, figure_of(specimen, f.figure));
        exact.push_back(complex.derivatives(s.measures, f.figure, size));
    }
    for (std::size_t m = 0; m < s.measures.size(); ++m) {
        ASSERT_EQ(adjoint[m].size(), rows.size());
        for (std::size_t f = 0; f < rows.size(); ++f) {
            const double value = exact[f][m];
            const double apart = std::abs(adjoint[m][f] - value);
            const double size = size_of(s.figures[f], figure_of(specimen, rows[f]));
            const double bar = 1e-10 * std::abs(value) + floor_of(s.measures[m]) / size;
            ++met.derivatives;
            if (value != 0) {
                ++met.not_zero;
                met.by_size_alone += apart <= 1e-10 * std::abs(value) ? 1 : 0;
                if (rows[f] >= circuit.slots) met.moving_conditions.insert(s.figure_name(rows[f]));
            }
            if (apart <= bar) {
                met.worst = std::max(met.worst, apart / bar);
                continue;
            }
            const Measure& measured = s.measures[m];
            ADD_FAILURE() << s.name << ", " << which << ": measure " << m << " (kind "
                          << static_cast<int>(measured.probe.kind) << ", state "
                          << to_index(measured.state) << ", value "
                          << measure(measured.probe, (*points)[to_index(measured.state)]) << ") to "
                          << s.figure_name(rows[f]) << ": adjoint " << adjoint[m][f] << ", complex "
                          << value << ", " << apart / bar << " bars";
        }
    }
}

void say(const Met& met) {
    std::cout << met.specimens << " specimens, " << met.derivatives << " derivatives, "
              << met.not_zero << " not zero, " << met.by_size_alone
              << " of them within 1e-10 of themselves; worst " << met.worst << " of the bar\n";
}

TEST(Sensitivity, AdjointIsTheComplexStepDerivative) {
    Met met;
    for (const auto& s : examples()) {
        compare(s, nominal_specimen(s.circuit, s.ranges), "nominal", met);
        for (std::size_t k = 0; k < 5; ++k) {
            compare(s, draw_specimen(s.circuit, s.ranges, 5, k), "specimen " + std::to_string(k),
                    met);
        }
    }
    say(met);
    EXPECT_EQ(met.specimens, 6U * 6U);
    EXPECT_GT(met.by_size_alone, met.not_zero * 9 / 10);
    EXPECT_EQ(met.moving_conditions, (std::set<std::string>{"temperature", "light", "age"}));
}

// Generated links state no tolerances: here every figure counts as known to 10 %. (But those of
// nothing: 10 % of it is no size to compare by.) They are warm, lit, and not new.
TEST(Sensitivity, AdjointIsTheComplexStepDerivativeOfGeneratedLinks) {
    Met met;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const auto link = link_from(reference::file_text(reference::made_network(seed)));
        Subject s("generated link " + std::to_string(seed), *link);
        Specimen specimen = nominal_specimen(s.circuit, s.ranges);
        specimen.conditions.temperature += 15;
        specimen.conditions.light = 30;
        specimen.conditions.age = 3e7;
        s.figures.clear();
        for (std::size_t row = 0; row < specimen.values.size() + 3; ++row) {
            const double size = std::abs(figure_of(specimen, row));
            if (size > 0) s.figures.push_back({row, 0.95 * size, 1.05 * size});
        }
        compare(s, specimen, "warm", met);
        // And with a life that is shared between its states, a tenth of it without supply.
        s.circuit.circuit.shares = uneven_shares(s.circuit.circuit.states.size());
        compare(s, specimen, "warm, shared", met);
    }
    say(met);
    EXPECT_EQ(met.specimens, 40U);
    EXPECT_GT(met.by_size_alone, met.not_zero * 8 / 10);
    EXPECT_EQ(met.elements.size(), std::variant_size_v<Element>);
}

// Supply, resistor, resistor, on both sides; the measures are of the output side.
struct Divider {
    static constexpr double volts = 9;
    static constexpr double upper = 2200;
    static constexpr double lower = 1000;
    std::vector<double> values{volts, upper, lower};
    Circuit circuit;
    Port port{.plus = Node{2},
              .minus = Node::side_return,
              .current = {{.element = ElementIndex{2}, .main = 1, .base = 0}}};

    Divider() {
        Network network;
        network.nodes = 3;
        network.elements = {Branch{Node::side_return, Node{1}, Slot{0}, {}},
                            Branch{Node{1}, Node{2}, {}, Slot{1}},
                            Branch{Node{2}, Node::side_return, {}, Slot{2}}};
        circuit.states = {{network, network}};
        circuit.slots = values.size();
    }
    Measure measure(Probe::Kind kind) const {
        return {StateIndex{0}, {.kind = kind, .side = Side::output, .ports = {port}}};
    }
};

TEST(Sensitivity, OfADividerIsWhatAHandWorksOut) {
    const Divider d;
    const auto points = solve_link(d.circuit, d.values, {});
    ASSERT_TRUE(points);
    const std::vector<std::size_t> figures{0, 1, 2, FigureIndex{d.values.size()}.temperature()};
    const auto found =
        sensitivities(d.circuit, d.values, {}, *points,
                      {d.measure(Probe::Kind::voltage), d.measure(Probe::Kind::current),
                       d.measure(Probe::Kind::power)},
                      figures);
    const double v = Divider::volts;
    const double a = Divider::upper;
    const double b = Divider::lower;
    const double sum = a + b;
    // V b/(a + b), V/(a + b) and V² b/(a + b)².
    const std::vector<std::vector<double>> by_hand{
        {b / sum, -v * b / (sum * sum), v * a / (sum * sum), 0},
        {1 / sum, -v / (sum * sum), -v / (sum * sum), 0},
        {2 * v * b / (sum * sum), -2 * v * v * b / (sum * sum * sum),
         v * v * (a - b) / (sum * sum * sum), 0}};
    ASSERT_EQ(found.size(), by_hand.size());
    for (std::size_t m = 0; m < by_hand.size(); ++m) {
        ASSERT_EQ(found[m].size(), figures.size());
        for (std::size_t f = 0; f < figures.size(); ++f) {
            EXPECT_NEAR(found[m][f], by_hand[m][f], 1e-14 * std::abs(by_hand[m][f]))
                << m << " " << f;
        }
    }
}

}  // namespace
}  // namespace gapwright
