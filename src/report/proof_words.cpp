#include "report/proof_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/words.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

bool any_unknown(const Proof& proof) {
    const auto unknown = [](const auto& result) { return result.verdict == Verdict::unknown; };
    return std::ranges::any_of(proof.promises, unknown) ||
           std::ranges::any_of(proof.ratings, unknown);
}

}  // namespace

std::string rating_bound(const RatingResult& rating) {
    return fmt::format("{} {}{}", rating.sense == Sense::at_most ? "≤" : "≥",
                       engineering_short(rating.bound, rating.dimension),
                       rating.limit_stated ? "" : ", assumed");
}

std::vector<std::string> what_would_settle(const Proof& proof) {
    std::vector<std::string> sentences;
    for (const auto& p : proof.promises) {
        if (p.verdict != Verdict::unknown) continue;
        sentences.push_back(fmt::format("{}, {}: {}", p.quantity, p.state, p.reason));
    }
    for (const auto& r : decisive_ratings(proof)) {
        if (r.verdict == Verdict::unknown) sentences.push_back(r.reason);
    }
    return sentences;
}

std::string link_stretch_words(const Link& link, const Proof& proof) {
    if (!proof.stretch) return "";
    const double asked = link.surroundings.stretch;
    return fmt::format("{}{}{}", any_unknown(proof) ? "what is known " : "",
                       stretch_sentence(*proof.stretch),
                       asked > 1 ? fmt::format("; asked: {:.3g}", asked) : "");
}

}  // namespace gapwright
