#include "proof/verdict.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace gapwright {

std::string_view verdict_name(Verdict verdict) {
    switch (verdict) {
        case Verdict::kept:
            return "kept";
        case Verdict::thin:
            return "thin";
        case Verdict::unknown:
            return "unknown";
        case Verdict::broken:
            break;
    }
    return "broken";
}

Verdict worse(Verdict a, Verdict b) {
    return std::max(a, b);
}

double reserve_left(double value, double bound, Sense sense) {
    const double left = sense == Sense::at_least ? value - bound : bound - value;
    return bound == 0 ? left : left / std::abs(bound);
}

Verdict judge(double value, double bound, Sense sense, double reserve) {
    const double left = reserve_left(value, bound, sense);
    if (!(left >= 0)) return Verdict::broken;
    const double asked = bound == 0 ? 0 : reserve;
    return left >= asked ? Verdict::kept : Verdict::thin;
}

}  // namespace gapwright
