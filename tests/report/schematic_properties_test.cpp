// What every schematic must keep, over the examples and 500 generated links: no text over a line,
// no overlapping parts or texts, no wire across the gap.
#include <gtest/gtest.h>

#include <filesystem>

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
