// Eliminations worked out once and carried out many times, against a solver of dense systems.
#include "lanes/elimination.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <set>
#include <stdexcept>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "lanes/lane_elimination.hpp"

namespace gapwright {
namespace {

constexpr double no_number = std::numeric_limits<double>::quiet_NaN();

// One number where the kernels have a register of them.
struct Single {
    double value = no_number;

    Single() = default;
    explicit Single(double v) : value(v) {}

    friend Single operator*(Single a, Single b) { return Single(a.value * b.value); }
    friend Single operator/(Single a, Single b) { return Single(a.value / b.value); }
    friend Single minus_product(Single a, Single b, Single c) {
        return Single(a.value - b.value * c.value);
    }
};

// Part of a system, as the planner and a dense solver see it.
struct Term {
    Index16 row;
    Index16 column;
    double constant = 0;
    bool changes = false;
    double change = 0;  // what it holds besides at the first step of the iteration
};

struct System {
    std::size_t unknowns = 0;
    std::vector<Term> terms;
};

std::vector<MatrixEntry> entries_of(const System& system) {
    std::vector<MatrixEntry> entries;
    for (const Term& t : system.terms) {
        entries.push_back({.row = t.row,
                           .column = t.column,
                           .changes = t.changes,
                           .constant = t.constant,
                           .has_figure = false,
                           .sample = t.constant + t.change,
                           .avoid = false});
    }
    return entries;
}

// `factors` has one number a term: by how much its change differs from that of the sample.
Eigen::VectorXd dense_solution(const System& system, const std::vector<double>& factors,
                               const std::vector<double>& right) {
    const auto n = static_cast<Eigen::Index>(system.unknowns);
    Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(n, n);
    for (std::size_t k = 0; k < system.terms.size(); ++k) {
        const Term& t = system.terms[k];
        if (t.row == 0 || t.column == 0) continue;
        matrix(t.row - 1, t.column - 1) += t.constant + factors[k] * t.change;
    }
    return matrix.partialPivLu().solve(Eigen::Map<const Eigen::VectorXd>(right.data() + 1, n));
}

// A plan at work on one system: the constant part once, the rest at every step. What has no number
// yet is NaN, so that a step that used it would spoil the solution.
class Iteration {
  public:
    Iteration(const Elimination& plan, const System& system, const std::vector<double>& right)
        : plan_(plan),
          system_(system),
          entries_(plan.entries.size(), Single(0)),
          right_(plan.unknowns + 1),
          reciprocals_(plan.steps()) {
        for (const Term& t : system.terms) {
            entries_[entry_at(plan, t.row, t.column)].value += t.constant;
        }
        for (std::size_t row = 1; row <= plan.unknowns; ++row) right_[row] = Single(right[row]);
        eliminate(plan, plan.constant_steps.data(), plan.constant_steps.size(), entries_.data(),
                  right_.data(), reciprocals_.data());
    }

    // `more` is added to the right side, in live rows only.
    std::vector<Single> solve(const std::vector<double>& factors, const std::vector<double>& more) {
        std::vector<Single> entries(plan_.entries.size());
        std::vector<Single> right(plan_.unknowns + 1);
        for (const Index16 e : plan_.live_entries) entries[e] = entries_[e];
        for (const Index16 row : plan_.live_rows) {
            right[row] = Single(right_[row].value + more[row]);
        }
        for (std::size_t k = 0; k < system_.terms.size(); ++k) {
            const Term& t = system_.terms[k];
            if (!t.changes) continue;
            entries[entry_at(plan_, t.row, t.column)].value += factors[k] * t.change;
        }
        std::vector<Single> x(plan_.unknowns + 1);
        x[0] = Single(0);
        const auto& changing = plan_.changing_steps;
        const auto& constant = plan_.constant_steps;
        Single* reciprocals = reciprocals_.data() + constant.size();
        eliminate(plan_, changing.data(), changing.size(), entries.data(), right.data(),
                  reciprocals);
        substitute(plan_, changing.data(), changing.size(), entries.data(), right.data(),
                   reciprocals, x.data());
        substitute(plan_, constant.data(), constant.size(), entries_.data(), right_.data(),
                   reciprocals_.data(), x.data());
        return x;
    }

  private:
    const Elimination& plan_;
    const System& system_;
    std::vector<Single> entries_;
    std::vector<Single> right_;
    std::vector<Single> reciprocals_;
};

double uniform(std::mt19937& random, double low, double high) {
    return low +
           (high - low) * static_cast<double>(random()) / static_cast<double>(std::mt19937::max());
}
bool chance(std::mt19937& random, double share) {
    return uniform(random, 0, 1) < share;
}
Index16 place(std::size_t index) {
    return static_cast<Index16>(index);
}

std::vector<double> random_right(std::mt19937& random, std::size_t unknowns) {
    std::vector<double> right(unknowns + 1, 0.0);
    for (std::size_t row = 1; row <= unknowns; ++row) right[row] = uniform(random, -1, 1);
    return right;
}

// Dominant on its diagonal by rows and by columns, whatever factor from 0.7 to 1.3 the changes
// take.
System dominant_system(std::mt19937& random) {
    System system{.unknowns = 1 + random() % 24, .terms = {}};
    const double density = uniform(random, 0.05, 0.4);
    const double changing = uniform(random, 0, 0.5);
    std::vector<double> sum(system.unknowns + 1, 0.0);
    for (std::size_t row = 1; row <= system.unknowns; ++row) {
        for (std::size_t column = 1; column <= system.unknowns; ++column) {
            if (row == column || !chance(random, density)) continue;
            const bool changes = chance(random, changing / 4);
            const Term term{.row = place(row),
                            .column = place(column),
                            .constant = uniform(random, -1, 1),
                            .changes = changes,
                            .change = changes ? uniform(random, -1, 1) : 0};
            sum[row] += std::abs(term.constant) + 1.3 * std::abs(term.change);
            sum[column] += std::abs(term.constant) + 1.3 * std::abs(term.change);
            system.terms.push_back(term);
        }
    }
    for (std::size_t k = 1; k <= system.unknowns; ++k) {
        const bool changes = chance(random, changing);
        system.terms.push_back({.row = place(k),
                                .column = place(k),
                                .constant = (0.5 + sum[k]) * (chance(random, 0.5) ? 1 : -1),
                                .changes = false,
                                .change = 0});
        if (!changes) continue;
        // A second term of the same place, and of the same sign.
        const double change = std::copysign(uniform(random, 0.1, 2), system.terms.back().constant);
        system.terms.push_back({.row = place(k),
                                .column = place(k),
                                .constant = 0,
                                .changes = true,
                                .change = change});
    }
    return system;
}

// Adds a conductance between two nodes.
void add_conductance(System& system, std::size_t from, std::size_t to, double constant,
                     double change) {
    for (const auto& [row, column, sign] :
         {std::tuple{from, from, 1}, {to, to, 1}, {from, to, -1}, {to, from, -1}}) {
        system.terms.push_back({.row = place(row),
                                .column = place(column),
                                .constant = sign * constant,
                                .changes = change != 0,
                                .change = sign * change});
    }
}

// A network as the planner meets it: nodes with a conductance to some node before them, and
// branches whose currents are unknowns of their own, with nothing or a resistance on the diagonal.
System network_system(std::mt19937& random) {
    const std::size_t nodes = 2 + random() % 10;
    const std::size_t branches = 1 + random() % nodes;
    System system{.unknowns = nodes + branches, .terms = {}};
    for (std::size_t node = 1; node <= nodes; ++node) {
        const bool changes = chance(random, 0.4);
        add_conductance(system, node, random() % node, uniform(random, 0.2, 2),
                        changes ? uniform(random, 0.2, 2) : 0);
        add_conductance(system, node, random() % node, uniform(random, 0.2, 2), 0);
    }
    // Each branch leads from a node of its own to one before it, so that no two make a loop.
    for (std::size_t b = 1; b <= branches; ++b) {
        const std::size_t row = nodes + b;
        const std::size_t from = b;
        const std::size_t to = random() % from;
        for (const auto& [node, sign] : {std::pair{from, 1.0}, {to, -1.0}}) {
            system.terms.push_back({.row = place(row), .column = place(node), .constant = sign});
            system.terms.push_back({.row = place(node), .column = place(row), .constant = sign});
        }
        if (chance(random, 0.5)) {
            system.terms.push_back(
                {.row = place(row), .column = place(row), .constant = -uniform(random, 0.1, 3)});
        }
    }
    return system;
}

// A step at the sample, then others that reuse its constant part.
void expect_dense_solutions(const System& system, std::mt19937& random, const std::string& name) {
    const auto plan = plan_elimination(system.unknowns, entries_of(system));
    ASSERT_TRUE(plan) << name;
    ASSERT_EQ(plan->steps(), system.unknowns) << name;
    const auto right = random_right(random, system.unknowns);
    Iteration iteration(*plan, system, right);
    for (int step = 0; step < 4; ++step) {
        std::vector<double> factors(system.terms.size(), 1.0);
        std::vector<double> more(system.unknowns + 1, 0.0);
        auto whole = right;
        if (step > 0) {
            // Close to the sample, and last all of it a good deal smaller.
            for (double& f : factors) f = step == 3 ? 0.7 : uniform(random, 0.99, 1.01);
            for (const Index16 row : plan->live_rows) {
                more[row] = uniform(random, -1, 1);
                whole[row] += more[row];
            }
        }
        const auto x = iteration.solve(factors, more);
        const auto expected = dense_solution(system, factors, whole);
        const double size = std::max(1.0, expected.lpNorm<Eigen::Infinity>());
        EXPECT_EQ(x[0].value, 0) << name;
        for (std::size_t k = 1; k <= system.unknowns; ++k) {
            EXPECT_NEAR(x[k].value, expected(static_cast<Eigen::Index>(k) - 1), 1e-10 * size)
                << name << ", step " << step << ", unknown " << k;
        }
    }
}

// Every row and every column gives one pivot, and a constant step finds nothing in its row and
// column that changes.
void expect_sound_plan(const Elimination& plan, const System& system, const std::string& name) {
    std::set<Index16> rows;
    std::set<Index16> columns;
    const auto changes_in = [&](const PivotStep& step) {
        return std::ranges::any_of(system.terms, [&](const Term& t) {
            return t.changes && t.row != 0 && t.column != 0 &&
                   (t.row == step.row || t.column == step.column);
        });
    };
    for (const auto* steps : {&plan.constant_steps, &plan.changing_steps}) {
        for (const PivotStep& step : *steps) {
            EXPECT_TRUE(rows.insert(step.row).second) << name;
            EXPECT_TRUE(columns.insert(step.column).second) << name;
            EXPECT_EQ(plan.entries[step.entry].row, step.row) << name;
            EXPECT_EQ(plan.entries[step.entry].column, step.column) << name;
            if (steps == &plan.constant_steps) {
                EXPECT_FALSE(changes_in(step)) << name << ", row " << step.row;
            }
        }
    }
    EXPECT_EQ(rows.count(0) + columns.count(0), 0U) << name;
    EXPECT_EQ(rows.size(), system.unknowns) << name;
    // What the constant steps leave is live, and nothing else.
    std::set<Index16> live(plan.live_rows.begin(), plan.live_rows.end());
    for (const PivotStep& step : plan.constant_steps) EXPECT_EQ(live.count(step.row), 0U) << name;
    for (const PivotStep& step : plan.changing_steps) EXPECT_EQ(live.count(step.row), 1U) << name;
}

TEST(Elimination, SolvesDominantSystems) {
    for (unsigned seed = 1; seed <= 400; ++seed) {
        std::mt19937 random(seed);
        const System system = dominant_system(random);
        expect_dense_solutions(system, random, "seed " + std::to_string(seed));
    }
}

TEST(Elimination, SolvesNetworksWithBranchCurrents) {
    for (unsigned seed = 1; seed <= 400; ++seed) {
        std::mt19937 random(seed);
        const System system = network_system(random);
        expect_dense_solutions(system, random, "seed " + std::to_string(seed));
    }
}

TEST(Elimination, ConstantStepsMeetNothingThatChanges) {
    std::size_t constant = 0;
    std::size_t changing = 0;
    for (unsigned seed = 1; seed <= 400; ++seed) {
        std::mt19937 random(seed);
        const System system = seed % 2 == 0 ? dominant_system(random) : network_system(random);
        const auto plan = plan_elimination(system.unknowns, entries_of(system));
        ASSERT_TRUE(plan) << seed;
        expect_sound_plan(*plan, system, "seed " + std::to_string(seed));
        constant += plan->constant_steps.size();
        changing += plan->changing_steps.size();
    }
    // Neither kind is missing from what was looked at.
    EXPECT_GT(constant, 500U);
    EXPECT_GT(changing, 500U);
}

TEST(Elimination, NothingThatChangesLeavesNothingToRepeat) {
    const auto plan = plan_elimination(2, {{.row = 1, .column = 1, .constant = 2, .sample = 2},
                                           {.row = 2, .column = 2, .constant = 3, .sample = 3},
                                           {.row = 2, .column = 1, .constant = 1, .sample = 1}});
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->constant_steps.size(), 2U);
    EXPECT_TRUE(plan->changing_steps.empty());
    EXPECT_TRUE(plan->live_rows.empty());
    EXPECT_TRUE(plan->live_entries.empty());
}

TEST(Elimination, NoUnknownsNeedNoSteps) {
    const auto plan = plan_elimination(0, {});
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->steps(), 0U);
}

// The step whose pivot stands in a row.
const PivotStep& step_of_row(const Elimination& plan, Index16 row) {
    for (const auto* steps : {&plan.constant_steps, &plan.changing_steps}) {
        for (const PivotStep& step : *steps) {
            if (step.row == row) return step;
        }
    }
    throw std::logic_error("no step");
}

TEST(Elimination, UnitPivotsAreThoseThatAreAlwaysOne) {
    const auto unit = [](const MatrixEntry& entry) {
        const auto plan = plan_elimination(1, {entry});
        return plan && step_of_row(*plan, 1).unit;
    };
    EXPECT_TRUE(unit({.row = 1, .column = 1, .constant = 1, .sample = 1}));
    EXPECT_TRUE(unit({.row = 1, .column = 1, .constant = -1, .sample = -1}));
    EXPECT_FALSE(unit({.row = 1, .column = 1, .constant = 2, .sample = 2}));
    // A figure or a device adds to it: one at the sample only.
    EXPECT_FALSE(unit({.row = 1, .column = 1, .constant = 1, .has_figure = true, .sample = 1}));
    EXPECT_FALSE(unit({.row = 1, .column = 1, .changes = true, .constant = 1, .sample = 1}));
    EXPECT_FALSE(unit({.row = 1, .column = 1, .has_figure = true, .sample = 1}));
}

TEST(Elimination, APivotThatAnEarlierStepTouchesIsNoUnit) {
    // Whichever is taken first changes the other: 1 − 0.5·0.5.
    const auto plan = plan_elimination(2, {{.row = 1, .column = 1, .constant = 1, .sample = 1},
                                           {.row = 1, .column = 2, .constant = 0.5, .sample = 0.5},
                                           {.row = 2, .column = 1, .constant = 0.5, .sample = 0.5},
                                           {.row = 2, .column = 2, .constant = 1, .sample = 1}});
    ASSERT_TRUE(plan);
    ASSERT_EQ(plan->constant_steps.size(), 2U);
    EXPECT_TRUE(plan->constant_steps[0].unit);
    EXPECT_FALSE(plan->constant_steps[1].unit);
}

TEST(Elimination, UnitPivotsHoldOneWhenTheirTurnComes) {
    std::size_t units = 0;
    for (unsigned seed = 1; seed <= 200; ++seed) {
        std::mt19937 random(seed);
        const System system = network_system(random);
        const auto plan = plan_elimination(system.unknowns, entries_of(system));
        ASSERT_TRUE(plan) << seed;
        for (const auto* steps : {&plan->constant_steps, &plan->changing_steps}) {
            for (const PivotStep& step : *steps) {
                if (!step.unit) continue;
                ++units;
                EXPECT_EQ(std::abs(plan->entries[step.entry].sample), 1.0) << seed;
            }
        }
    }
    EXPECT_GT(units, 100U);
}

TEST(Elimination, AnEntryToAvoidIsTakenOnlyForWantOfAnother) {
    // Row 1 has two entries of the same size; without the mark the diagonal is taken.
    std::vector<MatrixEntry> entries{{.row = 1, .column = 1, .constant = 2, .sample = 2},
                                     {.row = 1, .column = 2, .constant = 2, .sample = 2},
                                     {.row = 2, .column = 1, .constant = 2, .sample = 2},
                                     {.row = 2, .column = 2, .constant = 4, .sample = 4}};
    const auto free = plan_elimination(2, entries);
    ASSERT_TRUE(free);
    EXPECT_EQ(free->constant_steps.front().column, free->constant_steps.front().row);
    entries[0].avoid = true;
    entries[3].avoid = true;
    const auto marked = plan_elimination(2, entries);
    ASSERT_TRUE(marked);
    for (const auto* steps : {&marked->constant_steps, &marked->changing_steps}) {
        for (const PivotStep& step : *steps) EXPECT_NE(step.row, step.column);
    }
    // The only entry of its row and column.
    const auto only =
        plan_elimination(1, {{.row = 1, .column = 1, .constant = 2, .sample = 2, .avoid = true}});
    ASSERT_TRUE(only);
    EXPECT_EQ(only->steps(), 1U);
}

TEST(Elimination, ASingularSampleHasNoPlan) {
    const auto planned = [](std::size_t unknowns, const std::vector<MatrixEntry>& entries) {
        return plan_elimination(unknowns, entries).has_value();
    };
    EXPECT_FALSE(planned(1, {}));
    EXPECT_FALSE(planned(1, {{.row = 1, .column = 1}}));
    // An unknown that nothing refers to.
    EXPECT_FALSE(planned(2, {{.row = 1, .column = 1, .constant = 1, .sample = 1}}));
    // The second row is twice the first.
    EXPECT_FALSE(planned(2, {{.row = 1, .column = 1, .constant = 1, .sample = 1},
                             {.row = 1, .column = 2, .constant = 2, .sample = 2},
                             {.row = 2, .column = 1, .constant = 2, .sample = 2},
                             {.row = 2, .column = 2, .constant = 4, .sample = 4}}));
    // Likewise where the entries change.
    EXPECT_FALSE(planned(2, {{.row = 1, .column = 1, .changes = true, .sample = 1},
                             {.row = 1, .column = 2, .changes = true, .sample = -1},
                             {.row = 2, .column = 1, .changes = true, .sample = -1},
                             {.row = 2, .column = 2, .changes = true, .sample = 1}}));
    // Doubles of one place that cancel.
    EXPECT_FALSE(planned(1, {{.row = 1, .column = 1, .constant = 1, .sample = 1},
                             {.row = 1, .column = 1, .constant = -1, .sample = -1}}));
}

TEST(Elimination, ASampleSingularButForRoundingHasNoPlan) {
    // Conductances between three nodes and none to the return: the rows add up to nothing.
    System system{.unknowns = 3, .terms = {}};
    add_conductance(system, 1, 2, 1.0 / 3, 0);
    add_conductance(system, 2, 3, 1.0 / 7, 0);
    add_conductance(system, 1, 3, 1.0 / 11, 0);
    EXPECT_FALSE(plan_elimination(3, entries_of(system)));
}

TEST(Elimination, DoublesOfOnePlaceAreOneEntry) {
    const auto plan = plan_elimination(
        1, {{.row = 1, .column = 1, .constant = 1, .sample = 1},
            {.row = 1, .column = 1, .constant = 2, .has_figure = true, .sample = 2.5},
            {.row = 1, .column = 1, .changes = true, .sample = 4}});
    ASSERT_TRUE(plan);
    ASSERT_EQ(plan->entries.size(), 2U);
    EXPECT_EQ(plan->entries[1].constant, 3.0);
    EXPECT_EQ(plan->entries[1].sample, 7.5);
    EXPECT_TRUE(plan->entries[1].changes);
    EXPECT_TRUE(plan->entries[1].has_figure);
}

TEST(Elimination, EntriesAreFoundByTheirPlaces) {
    std::mt19937 random(5);
    const System system = dominant_system(random);
    const auto plan = plan_elimination(system.unknowns, entries_of(system));
    ASSERT_TRUE(plan);
    for (std::size_t k = 1; k < plan->entries.size(); ++k) {
        EXPECT_EQ(entry_at(*plan, plan->entries[k].row, plan->entries[k].column), k);
    }
    for (const Term& t : system.terms) EXPECT_NE(entry_at(*plan, t.row, t.column), nowhere);
}

TEST(Elimination, RowAndColumnOfTheReturnAreNowhere) {
    const auto plan = plan_elimination(1, {{.row = 0, .column = 1, .constant = 5, .sample = 5},
                                           {.row = 1, .column = 0, .constant = 6, .sample = 6},
                                           {.row = 0, .column = 0, .constant = 7, .sample = 7},
                                           {.row = 1, .column = 1, .constant = 2, .sample = 2}});
    ASSERT_TRUE(plan);
    EXPECT_EQ(plan->entries.size(), 2U);
    EXPECT_EQ(plan->steps(), 1U);
    EXPECT_EQ(entry_at(*plan, 0, 1), nowhere);
    EXPECT_EQ(entry_at(*plan, 1, 0), nowhere);
    EXPECT_EQ(entry_at(*plan, 0, 0), nowhere);
    EXPECT_EQ(entry_at(*plan, 1, 1), 1U);
}

}  // namespace
}  // namespace gapwright
