#include "design/values/score.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <tuple>

#include "design/values/aim.hpp"

namespace gapwright {
namespace {

constexpr double want_scale = 0.2;  // of a bound (own choice)

// A reserve in steps of what counts as equal.
std::int64_t steps_of(double reserve) {
    constexpr double most = 1e6;
    return static_cast<std::int64_t>(
        std::llround(std::clamp(reserve, -most, most) / equal_reserves));
}

// Steps of a figure from zero. Zero itself lies in the middle of its step, so that rounding never
// tells two zeros apart.
std::int64_t steps_of(double value, double step) {
    constexpr double most = 1e9;
    return static_cast<std::int64_t>(std::llround(std::min(value / step, most)));
}

// Currents that differ by less than this share are the same current.
std::int64_t current_step(double current) {
    constexpr double least = 1e-9;  // A
    constexpr double step = 0.05;
    return std::llround(std::log(std::max(current, least) / least) / step);
}

}  // namespace

Rank rank_of(const Score& score) {
    constexpr double spare_step = 1e-3;  // of a bound
    constexpr double want_step = 0.5;
    constexpr double fine_want_step = 0.1;
    constexpr double practice_step = 0.25;
    constexpr double fine_practice_step = 0.05;
    constexpr double unusual_step = 0.5;
    constexpr double far_below = -1e6;
    return {.missing = steps_of(-std::clamp(score.spare, far_below, 0.0), spare_step),
            .want = steps_of(score.want, want_step),
            .practice = steps_of(score.practice, practice_step),
            .parts = score.parts,
            .fine_want = steps_of(score.want, fine_want_step),
            .fine_practice = steps_of(score.practice, fine_practice_step),
            .ordinary = steps_of(score.unusual, unusual_step),
            .current = current_step(score.current)};
}

double near_of(double reserve) {
    const double wanting = std::clamp((want_scale - reserve) / want_scale, 0.0, 1.0);
    return wanting * wanting;
}

double want_of(double stretched_reserve) {
    constexpr double scale = want_scale;
    constexpr double most = 10;  // scales: what is so far off is broken altogether
    if (!(stretched_reserve < 0)) return 0;
    const double wanting = std::min(-stretched_reserve / scale, most);
    return wanting * wanting;
}

bool better(const Score& a, const Score& b, Aim aim) {
    switch (aim) {
        case Aim::first_choice:
            return rank_of(a) < rank_of(b);
        case Aim::least_current: {
            const auto spare_a = std::min<std::int64_t>(0, steps_of(a.spare));
            const auto spare_b = std::min<std::int64_t>(0, steps_of(b.spare));
            if (spare_a != spare_b) return spare_a > spare_b;
            const Rank x = rank_of(a);
            const Rank y = rank_of(b);
            return std::tie(x.practice, x.current, x.parts, x.fine_practice, x.want) <
                   std::tie(y.practice, y.current, y.parts, y.fine_practice, y.want);
        }
        case Aim::most_reserve:
            break;
    }
    const auto reserve_a = steps_of(a.reserve);
    const auto reserve_b = steps_of(b.reserve);
    if (reserve_a != reserve_b) return reserve_a > reserve_b;
    if (a.parts != b.parts) return a.parts < b.parts;
    return a.current < b.current;
}

}  // namespace gapwright
