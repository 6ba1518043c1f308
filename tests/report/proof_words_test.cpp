// What is told of verdicts besides numbers: assumed bounds, what would settle the unknown,
// stretches.
#include "report/words/proof_words.hpp"

#include <gtest/gtest.h>

#include "link/link.hpp"
#include "proof/proof.hpp"

namespace gapwright {
namespace {

PromiseResult promise_of(const std::string& state, Verdict verdict, const std::string& reason) {
    PromiseResult p;
    p.state = state;
    p.quantity = "voltage signal";
    p.at_most = 0.8;
    p.verdict = verdict;
    p.reason = reason;
    return p;
}

RatingResult rating_of(const std::string& part, bool stated, Verdict verdict,
                       const std::string& reason) {
    RatingResult r;
    r.state = "on";
    r.part = part;
    r.limit = Key::receiver_power;
    r.dimension = Dimension::power;
    r.rated = r.bound = 0.1;
    r.highest = verdict == Verdict::unknown ? 2 : 0.05;
    r.verdict = verdict;
    r.limit_stated = stated;
    r.reason = reason;
    return r;
}

using Sentences = std::vector<std::string>;

TEST(ProofWords, AnAssumedLimitSaysSo) {
    EXPECT_EQ(rating_bound(rating_of("U1", true, Verdict::kept, "")), "≤ 100 mW");
    auto rating = rating_of("U1", false, Verdict::kept, "");
    EXPECT_EQ(rating_bound(rating), "≤ 100 mW, assumed");
    rating.sense = Sense::at_least;
    EXPECT_EQ(rating_bound(rating), "≥ 100 mW, assumed");
}

TEST(ProofWords, WhatIsUnknownSaysWhatWouldSettleItAndWhatIsKnownNothing) {
    Proof proof;
    EXPECT_EQ(what_would_settle(proof), Sentences{});
    proof.promises = {promise_of("on", Verdict::kept, ""),
                      // (of a highest rate: what ends it)
                      promise_of("fast", Verdict::broken, "the eye closes")};
    proof.ratings = {rating_of("U1", true, Verdict::broken, "")};
    EXPECT_EQ(what_would_settle(proof), Sentences{});
    proof.promises.push_back(promise_of("off", Verdict::unknown, "state U1 gain"));
    EXPECT_EQ(what_would_settle(proof), Sentences{"voltage signal, off: state U1 gain"});
}

TEST(ProofWords, OneReasonIsToldOnceWithAllThatItIsAbout) {
    Proof proof;
    proof.promises = {promise_of("on", Verdict::unknown, "state U1 gain"),
                      promise_of("off", Verdict::unknown, "state U1 gain")};
    proof.ratings = {rating_of("U1", true, Verdict::unknown, "state U1 gain"),
                     rating_of("U2", false, Verdict::unknown, "state U2's receiver power")};
    EXPECT_EQ(what_would_settle(proof),
              (Sentences{"voltage signal, on; voltage signal, off; U1 receiver power, on: state U1 "
                         "gain",
                         "state U2's receiver power"}));
}

TEST(ProofWords, TheLinksStretch) {
    Link link;
    Proof proof;
    EXPECT_EQ(link_stretch_words(link, proof), "");
    const Stretch stretch{.factor = 1.157, .beyond = false, .through = "U1.gain"};
    proof.promises = {promise_of("off", Verdict::kept, "")};
    proof.promises[0].stretch = stretch;
    proof.stretch = LinkStretch{.stretch = stretch, .state = "off", .what = "voltage signal"};
    const std::string words =
        "holds until every spread is 1.15 times as wide; the first to give way is voltage signal, "
        "off, through U1 gain";
    EXPECT_EQ(link_stretch_words(link, proof), words);
    link.surroundings.stretch = 1.2;
    EXPECT_EQ(link_stretch_words(link, proof), words + "; asked: 1.2");
}

TEST(ProofWords, TheLinksStretchIsThatOfWhatIsKnown) {
    const Link link;
    Proof proof;
    const Stretch stretch{.factor = 3, .beyond = true, .through = {}};
    proof.ratings = {rating_of("U1", true, Verdict::kept, ""),
                     rating_of("U2", false, Verdict::unknown, "state U2's receiver power")};
    proof.ratings[0].stretch = stretch;
    proof.stretch = LinkStretch{.stretch = stretch, .state = "on", .what = "U1 receiver_power"};
    EXPECT_EQ(link_stretch_words(link, proof),
              "what is known holds with every spread 3 times as wide");
    // Where one bound never holds, the sentence is about that one.
    proof.stretch->stretch = {.factor = 0, .beyond = false, .through = {}};
    EXPECT_TRUE(
        link_stretch_words(link, proof).starts_with("U1 receiver power, on, does not hold"));
    proof.stretch->stretch = stretch;
    // One that breaks within what is assumed has a stretch of its own.
    proof.ratings[1].stretch = Stretch{.factor = 0.5, .beyond = false, .through = {}};
    EXPECT_EQ(link_stretch_words(link, proof), "holds with every spread 3 times as wide");
}

}  // namespace
}  // namespace gapwright
