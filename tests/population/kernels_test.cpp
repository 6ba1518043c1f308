// Lanes against the solver for single points, on every instruction set that this machine has.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "lanes/kernel.hpp"
#include "population/engine.hpp"
#include "reference/made_networks.hpp"
#include "support/link_measures.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

struct Subject {
    std::string name;
    LinkCircuit circuit;
    ConditionRanges ranges;
    std::vector<Measure> measures;
    bool generated = false;
};

Subject subject(std::string name, const Link& link) {
    auto circuit = build_circuit(link);
    EXPECT_TRUE(circuit) << name;
    auto measures = testing_support::all_measures(link, *circuit);
    return {std::move(name), std::move(*circuit), condition_ranges(link), std::move(measures),
            false};
}

std::vector<Subject> examples() {
    std::vector<Subject> subjects;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (entry.path().extension() != ".toml") continue;
        subjects.push_back(
            subject(entry.path().filename(), *read_link_file(entry.path().string())));
    }
    return subjects;
}

// How far a measure lies apart, in units of the bar: 1e-8 of its size, and 0.1 nV, 1 pA or 1 pW,
// which is what volts and amperes elsewhere in the network leave to rounding.
double difference(const Measure& m, double lanes, double alone) {
    const double floor = m.probe.kind == Probe::Kind::voltage ? 1e-10 : 1e-12;
    return std::abs(lanes - alone) / (1e-8 * std::abs(alone) + floor);
}

double worst_difference(const Subject& s, std::size_t count, const std::string& kernel,
                        EngineOutcome& outcome) {
    const Engine engine(s.circuit.circuit, s.measures, nominal_specimen(s.circuit, s.ranges),
                        figure_ranges(s.circuit, s.ranges));
    const auto source = population_source(s.circuit, s.ranges, 7, count);
    const auto measured = measure_all(engine, source, {.kernel = kernel});
    outcome = measured.outcome;
    double worst = 0;
    for (std::size_t k = 0; k < count; ++k) {
        const Specimen specimen = draw_specimen(s.circuit, s.ranges, 7, k);
        const auto points = solve_link(s.circuit.circuit, specimen.values, specimen.conditions);
        if (!points) continue;
        for (std::size_t m = 0; m < s.measures.size(); ++m) {
            const double alone =
                measure(s.measures[m].probe, (*points)[to_index(s.measures[m].state)]);
            const double d = difference(s.measures[m], measured.at(k, m), alone);
            // What flows along a nearly blocked strand settles how voltage divides along it, and
            // Kirchhoff's law, held to 1 pA, says little of some nanoamperes.
            const bool blocked = s.measures[m].probe.kind == Probe::Kind::voltage &&
                                 std::abs(measured.at(k, m - 1)) < 1e-7;
            if (blocked && s.generated) continue;
            worst = std::max(worst, d);
        }
    }
    return worst;
}

TEST(Kernels, GiveWhatSinglePointsGive) {
    for (const auto& s : examples()) {
        for (const auto& kernel : usable_kernels()) {
            EngineOutcome outcome;
            const double worst = worst_difference(s, 1000, kernel.name, outcome);
            EXPECT_LT(worst, 1) << s.name << " " << kernel.name;
            std::cout << s.name << " " << kernel.name << ": worst " << worst << ", alone "
                      << outcome.by_single_points << "\n";
        }
    }
}

// Same seed, same numbers on every instruction set, to 1e-11 of the value or of a volt, a
// milliampere or a milliwatt where it is less: that much is rounding where a receiver is deep in
// saturation, whose current is the small difference of two large ones (docs/performance.md).
TEST(Kernels, AgreeAmongEachOther) {
    for (const auto& s : examples()) {
        const Engine engine(s.circuit.circuit, s.measures, nominal_specimen(s.circuit, s.ranges),
                            figure_ranges(s.circuit, s.ranges));
        const auto source = population_source(s.circuit, s.ranges, 3, 4096);
        const auto widest = measure_all(engine, source);
        for (const auto& kernel : usable_kernels()) {
            const auto other = measure_all(engine, source, {.kernel = kernel.name});
            double worst = 0;
            for (std::size_t k = 0; k < widest.values.size(); ++k) {
                const Measure& m = s.measures[k % s.measures.size()];
                const double floor = m.probe.kind == Probe::Kind::voltage ? 1.0 : 1e-3;
                const double apart = std::abs(widest.values[k] - other.values[k]);
                worst = std::max(worst, apart / std::max(std::abs(widest.values[k]), floor));
            }
            EXPECT_LT(worst, 1e-11) << s.name << " " << kernel.name;
            std::cout << s.name << " " << kernel.name << ": " << worst << " apart\n";
        }
    }
}

TEST(Kernels, GeneratedLinks) {
    std::size_t alone = 0;
    std::size_t unplanned = 0;
    double worst = 0;
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        const auto link =
            testing_support::link_from(reference::file_text(reference::made_network(seed)));
        Subject s = subject(std::to_string(seed), *link);
        s.generated = true;
        if (seed % 2 == 0) {
            s.circuit.circuit.shares =
                testing_support::uneven_shares(s.circuit.circuit.states.size());
            s.ranges.age = {.nominal = 0, .lowest = 0, .highest = 3e8};
        }
        EngineOutcome outcome;
        const double here = worst_difference(s, 24, "", outcome);
        if (here > 1) std::cout << "seed " << seed << ": " << here << "\n";
        worst = std::max(worst, here);
        alone += outcome.by_single_points;
        unplanned += outcome.by_single_points == 24 ? 1 : 0;
    }
    std::cout << "worst " << worst << ", alone " << alone << " of " << 300 * 24 << ", unplanned "
              << unplanned << "\n";
    EXPECT_LT(worst, 1);
}

}  // namespace
}  // namespace gapwright
