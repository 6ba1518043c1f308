// The same answers whatever instruction set solves the specimens: ties are decided on grids that
// rounding does not reach.
#include <gtest/gtest.h>

#include "design_support.hpp"
#include "lanes/kernel.hpp"
#include "need_support.hpp"
#include "support/how_many.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

class SameOnKernels : public testing::TestWithParam<std::string> {};

TEST_P(SameOnKernels, AreTheAnswers) {
    std::vector<std::string> first;
    for (const auto& kernel : usable_kernels()) {
        const auto design =
            design_file(needs_folder + "/" + GetParam() + ".link.toml",
                        {.samples = 200, .engine = {.kernel = std::string(kernel.name)}});
        ASSERT_TRUE(design) << design.error().message;
        std::vector<std::string> texts;
        for (const auto& answer : design->answers) {
            texts.push_back(answer.text);
            for (const Character c : answer.characters)
                texts.push_back(std::string(character_name(c)));
        }
        if (first.empty()) first = texts;
        EXPECT_EQ(texts, first) << kernel.name;
    }
}

INSTANTIATE_TEST_SUITE_P(Averley, SameOnKernels,
                         testing::ValuesIn(testing_support::how_many<std::vector<std::string>>(
                             {"pendulum-beat", "winder-motor"}, example_needs())));

}  // namespace
}  // namespace gapwright
