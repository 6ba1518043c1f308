#include "report/words/proof_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "card/key.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/words/words.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// Whether there is something of which neither a verdict nor a stretch is known.
bool any_left_out(const Proof& proof) {
    const auto left_out = [](const auto& result) {
        return result.verdict == Verdict::unknown && !result.stretch;
    };
    return std::ranges::any_of(proof.promises, left_out) ||
           std::ranges::any_of(proof.ratings, left_out);
}

// What several bounds may have in common.
struct Unknown {
    std::string reason;
    std::string of;  // "voltage signal, on; voltage signal, off"; may be empty
};

void tell_of(std::vector<Unknown>& unknowns, const std::string& reason, const std::string& of) {
    const auto same = std::ranges::find(unknowns, reason, &Unknown::reason);
    if (same == unknowns.end()) {
        unknowns.push_back({reason, of});
    } else if (!of.empty()) {
        same->of += (same->of.empty() ? "" : "; ") + of;
    }
}

// "voltage coil, on comes to 12.1 V where ≥ 16.8 V is asked": what is broken, promises
// before limits, two of them; and how many more there are.
std::string broken_words(const Proof& proof) {
    std::vector<std::string> broken;
    for (const auto& p : proof.promises) {
        if (p.verdict != Verdict::broken) continue;
        broken.push_back(fmt::format("{}, {} comes to {} where {} is asked", p.quantity, p.state,
                                     promise_value(p, p.worst().value), promise_bounds(p)));
    }
    for (const auto& r : decisive_ratings(proof)) {
        if (r.verdict != Verdict::broken) continue;
        broken.push_back(fmt::format("{} {}, {} comes to {} where {} is the limit", r.part,
                                     spoken_key(r.limit), r.state,
                                     engineering(r.worst(), r.dimension), rating_bound(r)));
    }
    if (broken.empty()) return "not everything holds";
    if (broken.size() == 1) return broken.front();
    if (broken.size() == 2) return fmt::format("{}; {}", broken[0], broken[1]);
    return fmt::format("{}; {}; and {} more", broken[0], broken[1], broken.size() - 2);
}

}  // namespace

std::string verdict_sentence(const Link& link, const Proof& proof) {
    const std::string stretch = link_stretch_words(link, proof);
    const std::string far = stretch.empty() ? "" : ": it " + stretch;
    switch (proof.verdict) {
        case Verdict::kept:
            return fmt::format("Everything promised is kept, as far as searched{}.", far);
        case Verdict::thin:
            return fmt::format("Everything promised is kept, but with less to spare than asked{}.",
                               far);
        case Verdict::unknown: {
            const auto reasons = what_would_settle(proof);
            return fmt::format("Nothing is broken as far as is known, but not all is known{}{}.{}",
                               reasons.empty() ? "" : ": ", reasons.empty() ? "" : reasons.front(),
                               stretch.empty() ? "" : " Of the rest: " + stretch + ".");
        }
        case Verdict::broken:
            break;
    }
    return fmt::format("Not kept by every specimen: {}.", broken_words(proof));
}

std::string rating_bound(const RatingResult& rating) {
    return fmt::format("{} {}{}", rating.sense == Sense::at_most ? "≤" : "≥",
                       engineering_short(rating.bound, rating.dimension),
                       rating.limit_stated ? "" : ", assumed");
}

std::vector<std::string> what_would_settle(const Proof& proof) {
    std::vector<Unknown> unknowns;
    for (const auto& p : proof.promises) {
        if (p.verdict != Verdict::unknown) continue;
        tell_of(unknowns, p.reason, fmt::format("{}, {}", p.quantity, p.state));
    }
    for (const auto& r : decisive_ratings(proof)) {
        if (r.verdict != Verdict::unknown) continue;
        // An assumed limit is named by its own reason.
        tell_of(
            unknowns, r.reason,
            r.limit_stated ? fmt::format("{} {}, {}", r.part, spoken_key(r.limit), r.state) : "");
    }
    std::vector<std::string> sentences;
    for (const auto& [reason, of] : unknowns) {
        sentences.push_back(of.empty() ? reason : fmt::format("{}: {}", of, reason));
    }
    return sentences;
}

std::string link_stretch_words(const Link& link, const Proof& proof) {
    if (!proof.stretch) return "";
    const double asked = link.surroundings.stretch;
    // (at 0 the sentence is about one bound, whatever is not known of others)
    const bool of_all = proof.stretch->stretch.factor > 0;
    return fmt::format("{}{}{}", of_all && any_left_out(proof) ? "what is known " : "",
                       stretch_sentence(*proof.stretch),
                       asked > 1 ? fmt::format("; asked: {:.3g}", asked) : "");
}

}  // namespace gapwright
