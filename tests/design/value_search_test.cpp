// The search for values, and the proof that it found the best, against every set in turn: made,
// and judged by a proof of the link with its values set, by the test's own means.
#include <gtest/gtest.h>

#include "support/how_many.hpp"
#include "value_support.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

constexpr double close = 1e-5;  // reserves of two ways to the same worst case

// Whether one set is clearly better than what was found.
bool clearly_better(const Judged& judged, const Score& found) {
    if (judged.reserve > found.reserve + close) return true;
    if (std::abs(judged.reserve - found.reserve) > 0.1 * equal_reserves) return false;
    if (judged.parts != found.parts) return judged.parts < found.parts;
    return judged.current < found.current * (1 - 1e-6);
}

std::string told(const ValueCase& c, const Judged& judged) {
    std::string text;
    for (std::size_t k = 0; k < judged.set.size(); ++k) {
        text += c.chosen[k] + " " + std::to_string(judged.set[k].value.nominal) + " Ω of " +
                std::to_string(judged.set[k].rows.size()) + "; ";
    }
    return text + "reserve " + std::to_string(judged.reserve);
}

const unsigned cases_each = testing_support::how_many(4U, 20U);

class ValueSearch : public ::testing::TestWithParam<unsigned> {};

// Twenty cases each, so that tests run beside each other.
TEST_P(ValueSearch, FindsWhatALookAtEverySetFinds) {
    for (unsigned k = 20 * GetParam(); k < 20 * GetParam() + cases_each; ++k) {
        SCOPED_TRACE(k);
        const ValueCase c = made_case(k);
        const auto link = link_of(c.with("choose"));
        ASSERT_TRUE(link) << to_text(link.error());
        const auto problem = ValueProblem::of(*link, c.stock);
        ASSERT_TRUE(problem) << to_text(problem.error());
        const auto judged = judge_all(c);
        SearchOptions options;
        options.most_parts = c.most_parts;
        const auto found = search_values(*problem, options);
        ASSERT_EQ(found.has_value(), !judged.empty());
        if (!found) continue;

        EXPECT_TRUE(problem->in_stock(found->set));
        double most = -std::numeric_limits<double>::infinity();
        for (const auto& one : judged) {
            most = std::max(most, one.reserve);
            EXPECT_FALSE(clearly_better(one, found->worst.score))
                << told(c, one) << ", found " << found->worst.score.reserve;
        }
        EXPECT_NEAR(found->worst.score.reserve, most, close);

        BoundOptions bounding;
        bounding.most_parts = c.most_parts;
        bounding.time = std::chrono::seconds(20);
        const auto bound = bound_values(*problem, *found, bounding);
        ASSERT_TRUE(bound);
        EXPECT_TRUE(bound->optimal);
        EXPECT_GE(bound->most_possible, most - close);
        EXPECT_LE(bound->most_possible, most + close);
        EXPECT_FALSE(bound->better);

        // The search that does not look at every set, and boxes down to single sets.
        options.most_sets_in_turn = 0;
        const auto searched = search_values(*problem, options);
        ASSERT_TRUE(searched);
        EXPECT_NEAR(searched->worst.score.reserve, most, close);
        bounding.few_sets = 1;
        const auto halved = bound_values(*problem, *searched, bounding);
        ASSERT_TRUE(halved);
        EXPECT_TRUE(halved->optimal);
        bounding.engine.threads = 1;
        const auto alone = bound_values(*problem, *searched, bounding);
        ASSERT_TRUE(alone);
        EXPECT_EQ(alone->boxes, halved->boxes);
        EXPECT_EQ(alone->most_possible, halved->most_possible);
        EXPECT_GE(halved->most_possible, most - close);
        EXPECT_LE(halved->most_possible, most + close);

        // From a bad beginning, the proof finds the best by itself.
        SearchResult poor = *found;
        poor.worst.score.reserve -= 0.05;
        const auto mended = bound_values(*problem, poor, bounding);
        ASSERT_TRUE(mended);
        EXPECT_TRUE(mended->optimal);
        EXPECT_GE(mended->most_possible, most - close);
        ASSERT_TRUE(mended->better);
        EXPECT_NEAR(mended->better->worst.score.reserve, most, close);
    }
}

INSTANTIATE_TEST_SUITE_P(Made, ValueSearch, ::testing::Range(0U, 10U));

}  // namespace
}  // namespace gapwright
