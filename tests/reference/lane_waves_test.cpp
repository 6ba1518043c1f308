// Generated links in time: lanes against the single integrator at 1e-9, whose waveforms
// waveforms_test.cpp compares with a second solution.
#include <gtest/gtest.h>

#include <cstdlib>
#include <iostream>

#include "reference/made_charges.hpp"
#include "reference/made_networks.hpp"
#include "support/how_many.hpp"
#include "support/lane_comparison.hpp"

namespace gapwright::reference {
namespace {

using testing_support::LaneComparison;

TEST(GeneratedLaneWaves, AreThoseOfTheSingleIntegrator) {
    const int count = testing_support::how_many(15, 500);
    const char* begun = std::getenv("REFERENCE_FIRST_SEED");
    const int first = begun ? std::atoi(begun) : 1;
    LaneComparison all;
    std::size_t beyond = 0;
    for (int seed = first; seed < first + count; ++seed) {
        MadeLink made = made_network(static_cast<std::uint64_t>(seed));
        Dice dice(static_cast<std::uint64_t>(seed));
        add_charges(made, dice);
        auto link = read_link(std::make_shared<const SourceText>("made.link.toml", file_text(made)),
                              "none");
        ASSERT_TRUE(link) << to_text(link.error());
        const auto circuit = build_circuit(*link);
        ASSERT_TRUE(circuit);
        Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
        specimen.conditions.temperature = made.temperature;
        const auto rest = solve_link(circuit->circuit, specimen.values, specimen.conditions);
        if (!rest) continue;
        for (const auto& [from, to] : {std::pair{0U, 1U}, std::pair{1U, 0U}}) {
            const Schedule schedule{.from = static_cast<StateIndex>(from),
                                    .changes = {{0, static_cast<StateIndex>(to)}}};
            const auto watches =
                testing_support::half_ways(circuit->circuit, (*rest)[from], (*rest)[to], 0.1);
            LaneComparison one;
            const double supply = std::max(made.input.supply, made.output.supply);
            compare(circuit->circuit, schedule, watches, {specimen}, 1e-5, supply, one);
            if (one.time > 1e-4 || one.other_count > 0 || one.not_followed > 0) {
                ++beyond;
                std::cout << "seed " << seed << ", " << from << " > " << to << ": "
                          << one.not_followed << " not followed, " << one.not_planned
                          << " not planned, " << one.other_count << " of other count, off "
                          << one.time << ' ' << one.where << '\n';
                for (const auto& line : one.other) std::cout << "  " << line << '\n';
            }
            all.waveforms += one.waveforms;
            all.crossings += one.crossings;
            all.not_followed += one.not_followed;
            all.not_comparable += one.not_comparable;
            all.other_count += one.other_count;
            all.time = std::max(all.time, one.time);
            all.peak = std::max(all.peak, one.peak);
        }
    }
    std::cout << all.waveforms << " waveforms, " << all.not_followed << " not in lanes, "
              << all.not_comparable << " with other strays at 1e-9, " << all.crossings
              << " crossings, largest difference " << all.time << " of itself, " << all.other_count
              << " probes of another count, extremes " << all.peak << " of the supply, " << beyond
              << " beyond\n";
    // What lanes do not follow is followed alone: these links hold what no bench builds.
    EXPECT_LE(all.not_followed, all.waveforms / 4);
    // With 500: a hundredth beyond 1e-4 of itself, at steps that are steep beyond the parabola.
    EXPECT_LE(beyond - std::min(beyond, all.not_followed), all.waveforms / 50);
    EXPECT_LE(all.other_count, all.waveforms / 200);  // none of few
    EXPECT_LE(all.time, 1e-2);
    EXPECT_LE(all.peak, 0.03);
    EXPECT_GE(all.crossings, all.waveforms);
}

}  // namespace
}  // namespace gapwright::reference
