#include "proof/proof.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <tuple>
#include <vector>

#include "proof/verdict.hpp"

namespace gapwright {

PromiseResult::Worst PromiseResult::worst() const {
    const Worst low{at_least.value_or(0), lowest, Sense::at_least, &lowest_case};
    const bool below = either_sign && std::abs(lowest) > std::abs(highest);
    const Worst high{at_most.value_or(0),
                     either_sign ? std::max(std::abs(lowest), std::abs(highest)) : highest,
                     Sense::at_most, below ? &lowest_case : &highest_case};
    if (!at_most) return low;
    if (!at_least) return high;
    return reserve_left(lowest, *at_least, Sense::at_least) <
                   reserve_left(highest, *at_most, Sense::at_most)
               ? low
               : high;
}

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
