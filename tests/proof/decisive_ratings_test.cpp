#include <gtest/gtest.h>

#include "card/key.hpp"
#include "proof/proof.hpp"

namespace gapwright {
namespace {

RatingResult rating(std::string state, Key limit, double highest, Verdict verdict) {
    RatingResult r;
    r.state = std::move(state);
    r.part = "R1";
    r.limit = limit;
    r.bound = 1;
    r.highest = highest;
    r.verdict = verdict;
    return r;
}

std::vector<std::string> states_of(const std::vector<RatingResult>& ratings) {
    std::vector<std::string> names;
    for (const auto& r : ratings) names.push_back(r.state);
    return names;
}

TEST(DecisiveRatings, TheTightestStateStandsForALimit) {
    Proof proof;
    proof.ratings = {rating("off", Key::power, 0.1, Verdict::kept),
                     rating("on", Key::power, 0.8, Verdict::kept),
                     rating("off", Key::voltage, 0.2, Verdict::kept)};
    EXPECT_EQ(states_of(decisive_ratings(proof)), (std::vector<std::string>{"on", "off"}));
}

TEST(DecisiveRatings, EveryBrokenStateIsToldAndOfEqualsTheFirst) {
    Proof proof;
    proof.ratings = {rating("off", Key::power, 0.1, Verdict::kept),
                     rating("on", Key::power, 1.2, Verdict::broken),
                     rating("high", Key::power, 1.4, Verdict::broken),
                     rating("off", Key::voltage, 0.5, Verdict::kept),
                     rating("on", Key::voltage, 0.5, Verdict::kept)};
    EXPECT_EQ(states_of(decisive_ratings(proof)), (std::vector<std::string>{"on", "high", "off"}));
}

}  // namespace
}  // namespace gapwright
