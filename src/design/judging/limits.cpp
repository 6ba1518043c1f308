#include "design/judging/limits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <vector>

#include "card/key.hpp"
#include "design/design.hpp"
#include "proof/cases/case.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

Limit limit_of(const PromiseResult& p, double bound, double value, Sense sense, const Case& where) {
    return {.state = p.state,
            .subject = p.quantity,
            .dimension = p.dimension,
            .sense = sense,
            .is_promise = true,
            .bound = bound,
            .value = value,
            .reserve = reserve_left(value, bound, sense),
            .where = where};
}

Limit limit_of(const RatingResult& r) {
    return {.state = r.state,
            .subject = fmt::format("{} {}", r.part, spoken_key(r.limit)),
            .dimension = r.dimension,
            .sense = r.sense,
            .is_promise = false,
            .bound = r.bound,
            .value = r.worst(),
            .reserve = reserve_left(r.worst(), r.bound, r.sense),
            .where = r.worst_case};
}

}  // namespace

std::vector<Limit> limits_of(const Proof& proof) {
    std::vector<Limit> limits;
    for (const auto& p : proof.promises) {
        if (p.at_least) {
            limits.push_back(limit_of(p, *p.at_least, p.lowest, Sense::at_least, p.lowest_case));
        }
        if (p.at_most) {
            const double highest = p.either_sign ? p.worst().value : p.highest;
            limits.push_back(limit_of(p, *p.at_most, highest, Sense::at_most, p.highest_case));
        }
    }
    for (const auto& r : proof.ratings) {
        // An assumed limit that is not passed limits nothing: no reserve is asked of it.
        if (r.limit_stated || r.verdict == Verdict::unknown) limits.push_back(limit_of(r));
    }
    std::ranges::stable_sort(limits, {}, &Limit::reserve);
    return limits;
}

std::vector<Limit> broken_of(const std::vector<Limit>& limits) {
    std::vector<Limit> broken;
    std::ranges::copy_if(limits, std::back_inserter(broken),
                         [](const Limit& limit) { return !(limit.reserve >= 0); });
    return broken;
}

}  // namespace gapwright
