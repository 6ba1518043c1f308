#include "proof/limits/rating_verdict.hpp"

#include <fmt/format.h>

#include <string>

#include "card/key.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// "U1's receiver power", "R1's power".
std::string limit_of_part(const RatingResult& r) {
    const std::string limit = spoken_key(r.limit);
    const auto dot = r.part.find('.');
    if (dot == std::string::npos) return fmt::format("{}'s {}", r.part, limit);
    return fmt::format("{}'s {} {}", r.part.substr(0, dot), r.part.substr(dot + 1), limit);
}

std::string shown(double value, const RatingResult& r) {
    return engineering_short(value, r.dimension, 3);
}

}  // namespace

void judge_rating(const LimitBasis& basis, double reserve, RatingResult& result) {
    result.limit_stated = !basis.assumed;
    result.verdict = judge(result.worst(), result.bound, result.sense, basis.assumed ? 0 : reserve);
    if (result.verdict != Verdict::broken) return;
    if (basis.assumed) {
        result.verdict = Verdict::unknown;
        result.reason =
            fmt::format("state {}: it reaches {}, and {} is taken, {}", limit_of_part(result),
                        shown(result.worst(), result), shown(result.rated, result), basis.reason);
        if (result.bound < result.rated) {
            result.reason += fmt::format(", {} where it is hottest", shown(result.bound, result));
        }
        return;
    }
    const bool passed_cold =
        judge(result.worst(), result.rated, result.sense, 0) == Verdict::broken;
    if (!basis.derating_assumed || passed_cold) return;
    result.verdict = Verdict::unknown;
    result.reason = fmt::format(
        "state up to which temperature {} holds in full, and from which there is none "
        "(full_rating_to, zero_rating_at): it reaches {}, and of {} at 25 °C {} are taken to be "
        "left",
        limit_of_part(result), shown(result.worst(), result), shown(result.rated, result),
        shown(result.bound, result));
}

}  // namespace gapwright
