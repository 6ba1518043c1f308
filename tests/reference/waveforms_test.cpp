// Links in time against a second solution: other laws, other equations, other integrator.
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <iostream>

#include "reference/made_charges.hpp"
#include "reference/made_networks.hpp"
#include "reference/specimen_link.hpp"
#include "reference/wave_comparison.hpp"
#include "support/how_many.hpp"

namespace gapwright::reference {
namespace {

const int generated = testing_support::how_many(3, 20);

void judge(const WaveCounts& c) {
    std::cout << c.waveforms << " waveforms, " << c.compared << " compared (" << c.voltages
              << " voltages, " << c.crossings << " crossings), " << c.not_by_program
              << " not followed by the program, " << c.not_by_second
              << " not by the second solution (" << c.steps << " steps, " << c.unresolved
              << " voltages inside jumps left out), " << c.with_strays
              << " with strays not compared, " << c.not_rested
              << " not at rest in the program's time\n  largest difference " << c.voltage
              << " of the supply (" << c.where_voltage << ")\n  largest of a time " << c.time
              << " (" << c.where_time << ")\n";
    EXPECT_EQ(c.beyond, 0);
    EXPECT_LE(c.unresolved, c.voltages / 1000);
    EXPECT_GE(c.compared, 0.95 * (c.waveforms - c.with_strays));
}

TEST(Waveforms, OfTheExamplesAgreeWithASecondSolution) {
    WaveCounts counts;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (!entry.path().string().ends_with(".link.toml")) continue;
        const auto link = read_link_file(entry.path().string());
        ASSERT_TRUE(link);
        const auto circuit = build_circuit(*link);
        ASSERT_TRUE(circuit);
        const Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
        SpecimenLink second(*link, *circuit);
        second.take(specimen);
        const GapLight light = [&](const MadePart& gap, double current) {
            return second.light(gap, current, 1);  // a new emitter has faded at no current
        };
        WaveComparison(*link, *circuit, specimen, second.made(), light, counts).run();
    }
    judge(counts);
    EXPECT_GE(counts.waveforms, 12);
}

void compare_generated(void (&charge)(MadeLink&, Dice&), WaveCounts counts) {
    const char* asked = std::getenv("REFERENCE_WAVEFORMS");
    const char* begun = std::getenv("REFERENCE_FIRST_SEED");
    const int count = asked ? std::atoi(asked) : generated;
    const int first = begun ? std::atoi(begun) : 1;
    for (int seed = first; seed < first + count; ++seed) {
        MadeLink made = made_network(static_cast<std::uint64_t>(seed));
        Dice dice(static_cast<std::uint64_t>(seed));
        charge(made, dice);
        const std::string text = file_text(made);
        SCOPED_TRACE("seed " + std::to_string(seed) + made.recipe + "\n" + text);
        auto link = read_link(std::make_shared<const SourceText>("made.link.toml", text), "none");
        ASSERT_TRUE(link) << to_text(link.error());
        link->title = "seed " + std::to_string(seed);
        const auto circuit = build_circuit(*link);
        ASSERT_TRUE(circuit) << to_text(circuit.error());
        Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
        specimen.conditions.temperature = made.temperature;
        const GapLight light = [&](const MadePart& gap, double current) {
            return second_light(gap, current, made.temperature);
        };
        WaveComparison(*link, *circuit, specimen, made, light, counts).run();
    }
    judge(counts);
}

TEST(Waveforms, OfGeneratedLinksAgreeWithASecondSolution) {
    compare_generated(add_charges, {});
}

TEST(Waveforms, OfLinksWhosePartsStoreLittleAgreeWithASecondSolution) {
    WaveCounts counts;
    counts.edge = 1e-11;
    counts.edge_share = 1e-4;
    compare_generated(add_some_charges, counts);
}

}  // namespace
}  // namespace gapwright::reference
