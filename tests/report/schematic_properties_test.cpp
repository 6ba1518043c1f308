// What every schematic must keep, over the examples and 500 generated links: no text over a line,
// no overlapping parts or texts, no wire across the gap.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <pugixml.hpp>
#include <string>

#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "reference/made_networks.hpp"
#include "report/clear_picture.hpp"
#include "report/pictures/schematic_view.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::crossings;
using testing_support::expect_clear;

TEST(Schematic, ExamplesAreClearAndCrossNothing) {
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (entry.path().extension() != ".toml") continue;
        const auto link = read_link_file(entry.path().string());
        ASSERT_TRUE(link) << to_text(link.error());
        const auto circuit = build_circuit(*link);
        ProofOptions options;
        options.samples = 100;
        const auto proof = prove(*link, *circuit, options);
        for (std::size_t s = 0; s < proof->states.size(); ++s) {
            const auto picture = draw_schematic(schematic_view(*link, *proof, s));
            expect_clear(picture, entry.path().filename().string());
            EXPECT_EQ(crossings(picture), 0) << entry.path();
        }
    }
}

// The light of each gap is one beam from its emitter to its receiver, which stand level.
TEST(Schematic, HalvesOfAGapStandLevel) {
    int lights = 0;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (entry.path().extension() != ".toml") continue;
        const auto link = read_link_file(entry.path().string());
        ASSERT_TRUE(link) << to_text(link.error());
        pugi::xml_document document;
        const std::string svg = draw_schematic(schematic_view(*link, 0)).svg(false);
        ASSERT_TRUE(document.load_buffer(svg.data(), svg.size()));
        const auto beams = document.select_nodes("//g[contains(@class, 'beam')]");
        EXPECT_EQ(static_cast<std::ptrdiff_t>(beams.size()),
                  std::ranges::count_if(link->parts, &Part::is_gap))
            << entry.path();
        for (const auto& beam : beams) {
            for (const auto& ray : beam.node().children("line")) {
                EXPECT_GT(ray.attribute("x2").as_double(), ray.attribute("x1").as_double());
                EXPECT_NEAR(ray.attribute("y1").as_double(), ray.attribute("y2").as_double(), 1.5)
                    << entry.path();
                ++lights;
            }
        }
    }
    EXPECT_GE(lights, 12);
}

const SchematicPart& part_of(const SchematicSide& side, std::string_view name) {
    static const SchematicPart none;
    for (const auto& strand : side.strands) {
        const auto part = std::ranges::find(strand.parts, name, &SchematicPart::name);
        if (part != strand.parts.end()) return *part;
    }
    ADD_FAILURE() << "no part " << name;
    return none;
}

// What is pressed leads to the other state; what is on says so.
TEST(Schematic, TellsWhatALinkDoesInAState) {
    const auto link = read_link_file(PROJECT_FOLDER "/examples/clock-tower/bell-hammer.link.toml");
    ASSERT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    const auto proof = prove(*link, *circuit, {.nominal_only = true});
    ASSERT_TRUE(proof);
    const auto view = [&](std::string_view state) {
        return schematic_view(*link, *proof, *link->find_state(state), Ranges::aside);
    };
    const auto on = view("on");
    const auto off = view("off");
    EXPECT_EQ(part_of(on.input, "P1").press, "off");
    EXPECT_EQ(part_of(off.input, "P1").press, "on");
    EXPECT_EQ(part_of(on.input, "R1").press, "");
    EXPECT_EQ(part_of(on.input, "U1").shine, Shine::strong);
    EXPECT_EQ(part_of(off.input, "U1").shine, Shine::dark);
    const auto has_note = [](const SchematicPart& part, std::string_view note) {
        return std::ranges::find(part.notes, note) != part.notes.end();
    };
    EXPECT_TRUE(part_of(on.output, "K1").active && part_of(on.output, "K1").live);
    EXPECT_TRUE(has_note(part_of(on.output, "K1"), "pulled in"));
    EXPECT_FALSE(part_of(off.output, "K1").active);
    EXPECT_TRUE(has_note(part_of(off.output, "K1"), "let go"));
}

TEST(Schematic, GeneratedLinksAreClearAndCrossNothing) {
    const auto links = static_cast<std::uint64_t>(testing_support::how_many(120, 500));
    int drawn = 0;
    for (std::uint64_t seed = 1; seed <= links; ++seed) {
        const auto link =
            testing_support::link_from(reference::file_text(reference::made_network(seed)));
        ASSERT_TRUE(link) << seed << to_text(link.error());
        const auto circuit = build_circuit(*link);
        ASSERT_TRUE(circuit) << seed;
        ProofOptions options;
        options.nominal_only = true;
        const auto proof = prove(*link, *circuit, options);
        ASSERT_TRUE(proof) << seed << proof.error().message;
        const auto picture = draw_schematic(schematic_view(*link, *proof, 0));
        expect_clear(picture, "seed " + std::to_string(seed));
        ++drawn;
        EXPECT_EQ(crossings(picture), 0) << "seed " << seed;
        if (testing::Test::HasFailure()) break;
    }
    RecordProperty("drawn", drawn);
}

}  // namespace
}  // namespace gapwright
