// What a link states is told the same before and after it is proven.
#include "proof/stated_promise.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <set>

#include "link/link_circuit.hpp"
#include "proof/cautions/cautions.hpp"
#include "proof/prove.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;

struct Proven {
    std::string name;
    Link link;
    Proof proof;
};

// The examples, those with a value to be chosen as well, each with one that would do.
std::vector<Proven> proven_examples() {
    std::vector<Proven> all;
    for (const char* folder : {"", "/speed"}) {
        for (const auto& entry :
             fs::directory_iterator(PROJECT_FOLDER "/examples/clock-tower" + std::string(folder))) {
            if (entry.path().extension() != ".toml") continue;
            const auto source = read_file(entry.path());
            const auto link = testing_support::link_from(testing_support::with(
                std::string((*source)->text()), "\"choose\"", "\"4.7 kΩ ± 5 %\""));
            EXPECT_TRUE(link) << entry.path();
            const auto circuit = build_circuit(*link);
            EXPECT_TRUE(circuit) << entry.path();
            ProofOptions options;
            options.nominal_only = true;
            auto proof = prove(*link, *circuit, options);
            EXPECT_TRUE(proof) << entry.path();
            all.push_back({entry.path().filename(), *link, std::move(*proof)});
        }
    }
    return all;
}

TEST(StatedPromise, IsThatOfTheProofButForItsValues) {
    std::size_t timed = 0;
    std::size_t all = 0;
    for (const auto& [name, link, proof] : proven_examples()) {
        ASSERT_EQ(proof.promises.size(), link.promises.size()) << name;
        for (std::size_t p = 0; p < link.promises.size(); ++p) {
            const PromiseResult stated = stated_promise(link, link.promises[p]);
            const PromiseResult& proven = proof.promises[p];
            EXPECT_EQ(stated.state, proven.state) << name;
            EXPECT_EQ(stated.quantity, proven.quantity) << name;
            EXPECT_EQ(stated.dimension, proven.dimension) << name << ' ' << stated.quantity;
            EXPECT_EQ(stated.at_least, proven.at_least) << name << ' ' << stated.quantity;
            EXPECT_EQ(stated.at_most, proven.at_most) << name << ' ' << stated.quantity;
            EXPECT_EQ(stated.either_sign, proven.either_sign) << name << ' ' << stated.quantity;
            timed += stated.timed ? 1 : 0;
            ++all;
        }
    }
    EXPECT_GE(all, 15U);
    EXPECT_GE(timed, 2U);
}

// In the same order; what is missing needs a solved point.
TEST(StatedCautions, AreThoseOfTheProofThatNeedNoFigures) {
    const std::set<std::string> solved = {"never-lit", "test-current", "part-way",
                                          "wrong-way-round"};
    for (const auto& [name, link, proof] : proven_examples()) {
        std::vector<std::string> expected;
        for (const auto& caution : proof.cautions) {
            if (!solved.contains(caution.id)) expected.push_back(caution.text);
        }
        std::vector<std::string> stated;
        for (const auto& caution : stated_cautions(link)) stated.push_back(caution.text);
        EXPECT_EQ(stated, expected) << name;
        EXPECT_FALSE(stated.empty()) << name;
    }
}

TEST(StatedCautions, AreToldOfALinkWhoseValuesAreToBeChosen) {
    const std::string text =
        testing_support::with(testing_support::plain_link(), "10 kΩ ± 5 %", "choose");
    const auto link = testing_support::link_from(text);
    ASSERT_TRUE(link) << to_text(link.error());
    ASSERT_FALSE(build_circuit(*link));
    std::set<std::string> ids;
    for (const auto& caution : stated_cautions(*link)) ids.insert(caution.id);
    EXPECT_TRUE(ids.contains("working-voltage-unstated"));
    EXPECT_TRUE(ids.contains("solderless-board"));
    // A value that nobody has chosen is not one without a tolerance.
    EXPECT_FALSE(ids.contains("no-tolerance"));
}

}  // namespace
}  // namespace gapwright
