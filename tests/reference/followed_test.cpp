// Every change of state of links whose parts store something or nothing, whose coils have a diode
// or none, is followed.
#include <gtest/gtest.h>

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <memory>
#include <string>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "reference/made_charges.hpp"
#include "reference/made_link.hpp"
#include "reference/made_networks.hpp"
#include "reference/made_parts.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "support/how_many.hpp"
#include "time/timed_measure.hpp"
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright::reference {
namespace {

struct Followed {
    int links = 0;
    int without_point = 0;  // some state has no operating point
    int judged = 0;         // have their verdict at rest
    int changes = 0;
    int as_stated = 0;      // followed with what the parts state
    int with_windings = 0;  // with what uncaught windings have of their own
    int with_all = 0;       // with all strays
    int swing = 0;          // refused: they oscillate
};

void count(Strays strays, Followed& c) {
    switch (strays) {
        case Strays::none:
            ++c.as_stated;
            break;
        case Strays::windings:
            ++c.with_windings;
            break;
        case Strays::all:
            ++c.with_all;
            break;
    }
}

void follow(const std::string& text, const std::string& recipe, double temperature, Followed& c) {
    SCOPED_TRACE(recipe + "\n" + text);
    auto link = read_link(std::make_shared<const SourceText>("made.link.toml", text), "none");
    ASSERT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit) << to_text(circuit.error());
    Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
    specimen.conditions.temperature = temperature;
    ++c.links;
    if (!solve_link(circuit->circuit, specimen.values, specimen.conditions)) {
        ++c.without_point;
        ADD_FAILURE() << "no operating point";
        return;
    }
    const auto proof = prove(*link, *circuit, {.nominal_only = true});
    if (proof) {
        ++c.judged;
    } else {
        ADD_FAILURE() << proof.error().message;
    }
    for (std::size_t from = 0; from < link->states.size(); ++from) {
        for (std::size_t to = 0; to < link->states.size(); ++to) {
            if (from == to) continue;
            const Schedule schedule{.from = static_cast<StateIndex>(from),
                                    .changes = {{0, static_cast<StateIndex>(to)}}};
            ++c.changes;
            const auto wave = specimen_wave(circuit->circuit, specimen, schedule, {});
            if (wave) {
                count(wave->wave.strays, c);
            } else if (wave.error().message.starts_with("it swings") && wave.error().node) {
                ++c.swing;
            } else {
                ADD_FAILURE() << link->states[from].name << " to " << link->states[to].name << ": "
                              << wave.error().message << " at " << wave.error().at << " s";
            }
        }
    }
}

TEST(Followed, EveryChangeOfGeneratedLinks) {
    const char* asked = std::getenv("REFERENCE_WAVEFORMS");
    const char* begun = std::getenv("REFERENCE_FIRST_SEED");
    const int count = asked ? std::atoi(asked) : testing_support::how_many(60, 1000);
    const int first = begun ? std::atoi(begun) : 1;
    Followed counts;
    for (int seed = first; seed < first + count; ++seed) {
        MadeLink made = made_network(static_cast<std::uint64_t>(seed));
        Dice dice(static_cast<std::uint64_t>(seed));
        add_some_charges(made, dice);
        follow(file_text(made), "seed " + std::to_string(seed) + made.recipe, made.temperature,
               counts);
    }
    std::cout << counts.links << " links, " << counts.without_point << " without a point of rest, "
              << counts.judged << " with a verdict at rest; " << counts.changes
              << " changes: " << counts.as_stated << " followed as stated, " << counts.with_windings
              << " with windings' own capacitance, " << counts.with_all << " with all strays, "
              << counts.swing << " oscillate\n";
    EXPECT_EQ(counts.judged, counts.links);
    EXPECT_LE(counts.swing, counts.changes / 1000);
}

}  // namespace
}  // namespace gapwright::reference
