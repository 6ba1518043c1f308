// The search for values against every set in turn: made, and judged by a proof of the link with its
// values set, by the test's own means.
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
        SearchOptions options{.aim = Aim::most_reserve};
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

        // The search that does not look at every set.
        options.most_sets_in_turn = 0;
        const auto searched = search_values(*problem, options);
        ASSERT_TRUE(searched);
        EXPECT_NEAR(searched->worst.score.reserve, most, close);
    }
}

INSTANTIATE_TEST_SUITE_P(Made, ValueSearch, ::testing::Range(0U, 10U));

}  // namespace
}  // namespace gapwright
