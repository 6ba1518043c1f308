// What every schematic must keep, over the examples and 500 generated links: no text over a line,
// no overlapping parts or texts, no wire across the gap.
#include <gtest/gtest.h>

#include <filesystem>
#include <pugixml.hpp>

#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "reference/made_networks.hpp"
#include "report/schematic_view.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

Box thin(const Segment& s) {
    return Box{std::min(s.from.x, s.to.x), std::min(s.from.y, s.to.y), std::max(s.from.x, s.to.x),
               std::max(s.from.y, s.to.y)}
        .grown(0.4);
}

// Where two wires of different nodes cross, neither ending there.
int crossings(const Picture& picture) {
    int count = 0;
    const auto& wires = picture.wires();
    for (std::size_t a = 0; a < wires.size(); ++a) {
        for (std::size_t b = a + 1; b < wires.size(); ++b) {
            if (wires[a].node == wires[b].node) continue;
            count += thin(wires[a].run).overlaps(thin(wires[b].run)) ? 1 : 0;
        }
    }
    return count;
}

void expect_clear(const Picture& picture, const std::string& name) {
    const auto& texts = picture.text_boxes();
    const auto& symbols = picture.symbol_boxes();
    for (std::size_t a = 0; a < texts.size(); ++a) {
        for (std::size_t b = a + 1; b < texts.size(); ++b) {
            EXPECT_FALSE(texts[a].overlaps(texts[b])) << name << ": texts " << a << " " << b;
        }
        for (const auto& symbol : symbols) {
            EXPECT_FALSE(texts[a].overlaps(symbol)) << name << ": text " << a << " on a symbol";
        }
        for (const auto& wire : picture.wires()) {
            EXPECT_FALSE(texts[a].overlaps(thin(wire.run)))
                << name << ": text " << a << " on a wire of " << wire.node;
        }
    }
    for (std::size_t a = 0; a < symbols.size(); ++a) {
        for (std::size_t b = a + 1; b < symbols.size(); ++b) {
            EXPECT_FALSE(symbols[a].overlaps(symbols[b])) << name << ": symbols " << a << " " << b;
        }
    }
    pugi::xml_document document;
    const std::string svg = picture.svg(true);
    EXPECT_TRUE(document.load_buffer(svg.data(), svg.size())) << name;
    // No wire of either side reaches into the strip.
    const auto strip = document.child("svg").find_child_by_attribute("rect", "class", "gap");
    ASSERT_TRUE(strip) << name;
    const Box gap{strip.attribute("x").as_double(), -1e9,
                  strip.attribute("x").as_double() + strip.attribute("width").as_double(), 1e9};
    for (const auto& wire : picture.wires()) {
        EXPECT_FALSE(gap.overlaps(thin(wire.run))) << name << ": a wire crosses the gap";
    }
}

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

TEST(Schematic, FiveHundredGeneratedLinksAreClearAndCrossNothing) {
    int drawn = 0;
    for (std::uint64_t seed = 1; seed <= 500; ++seed) {
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
