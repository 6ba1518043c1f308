#include <algorithm>
#include <iterator>
#include <tuple>
#include <vector>

#include "proof/proof.hpp"
#include "proof/verdict.hpp"

namespace gapwright {

std::vector<RatingResult> decisive_ratings(const Proof& proof) {
    const auto left = [](const RatingResult& r) {
        return reserve_left(r.worst(), r.bound, r.sense);
    };
    const auto decides = [&](const RatingResult& rating) {
        // Assumed limits are many, and say something only where they are passed.
        if (!rating.limit_stated && rating.verdict == Verdict::kept) return false;
        if (rating.verdict == Verdict::broken) return true;
        return std::ranges::none_of(proof.ratings, [&](const RatingResult& other) {
            const bool same = other.part == rating.part && other.limit == rating.limit;
            // Of equals the first stands for all.
            return same && (other.verdict == Verdict::broken ||
                            std::tuple(left(other), &other) < std::tuple(left(rating), &rating));
        });
    };
    std::vector<RatingResult> rows;
    std::ranges::copy_if(proof.ratings, std::back_inserter(rows), decides);
    return rows;
}

}  // namespace gapwright
