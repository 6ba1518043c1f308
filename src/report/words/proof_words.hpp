// What a proof's verdicts and bounds need in words: whose limit it is, what would settle what is
// not known, how far all of it is from the cliff.
#pragma once

#include <string>
#include <vector>

namespace gapwright {

struct Link;
struct Proof;
struct RatingResult;

// A rating's bound as it holds in the worst case: "≤ 250 mW"; "≤ 100 mW, assumed" where no card
// states the limit and what is usual of such parts stands in for it.
std::string rating_bound(const RatingResult& rating);

// Of the promises and ratings whose verdict is unknown, ratings as decisive_ratings has them: one
// sentence for each reason, "voltage signal, on: state U1 gain: …". Empty where everything is
// known.
std::vector<std::string> what_would_settle(const Proof& proof);

// The verdict in one sentence for people: what holds or what does not, how sure that is, how far
// from the cliff. "Everything promised is kept, as far as searched: it holds until …".
std::string verdict_sentence(const Link& link, const Proof& proof);

// How far the link is from the cliff, and the stretch that is asked for where there is one: "holds
// until every spread is 1.15 times as wide; …; asked: 1.2". Where something unknown has no stretch,
// it is said of the rest alone. Empty for a proof without a stretch.
std::string link_stretch_words(const Link& link, const Proof& proof);

}  // namespace gapwright
