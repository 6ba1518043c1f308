// What a set of values comes to, and which of two is better.
#pragma once

#include <compare>
#include <cstddef>
#include <cstdint>
#include <limits>

#include "design/values/aim.hpp"

namespace gapwright {

struct Score {
    double reserve = -std::numeric_limits<double>::infinity();  // the least over all bounds
    double spare = -std::numeric_limits<double>::infinity();    // the least above what is asked
    // How near the cliff, over all bounds: Σ of the worse of near_of(reserve) and, with every
    // spread `plenty_of_stretch` times as wide, want_of(reserve). A bound that no value moves adds
    // the same to every set, and so ranks none.
    double want = std::numeric_limits<double>::infinity();
    double practice = 0;    // Σ of the shortfalls of good practice (practice.hpp)
    std::size_t bound = 0;  // which is least
    unsigned parts = 0;     // that the resistors are made of
    double current = 0;     // A: all supplies together, nominal, in the state that takes most
    double unusual = 0;     // Σ over the resistors: decades between their value and 4.7 kΩ
    // Some specimen was left unsettled (EngineOptions::lanes_only): the score leaves it out, and is
    // an upper limit.
    bool open = false;
};

// Reserves that differ by less than this share of a bound count as equal.
inline constexpr double equal_reserves = 1e-6;

// What holds with every spread so many times as wide is far enough from the cliff: more is no
// better (own choice).
inline constexpr double plenty_of_stretch = 1.4;

// Of good practice, all shortfalls together: so much is worth a part, and so much no packaged gap
// makes up for (own choices).
inline constexpr double practice_worth_a_part = 0.5;
inline constexpr double serious_practice = 1;

// What a reserve adds to Score::want: less than a fifth of the bound, and, stretched, less than
// nothing.
double near_of(double reserve);
double want_of(double stretched_reserve);

// A score on the grids of Aim::first_choice, the least the best: coarser than any rounding, so that
// the same set is taken on every processor, and than what a person could tell apart.
struct Rank {
    std::int64_t missing = 0;   // thousandths of a bound to the asked reserve
    std::int64_t want = 0;      // in steps that are worth a part
    std::int64_t practice = 0;  // likewise
    std::int64_t parts = 0;
    std::int64_t fine_want = 0;
    std::int64_t fine_practice = 0;
    std::int64_t ordinary = 0;  // halves of a decade from what every drawer holds
    std::int64_t current = 0;   // steps of a twentieth

    auto operator<=>(const Rank&) const = default;
};
Rank rank_of(const Score& score);

// Whether `a` is better than `b`.
bool better(const Score& a, const Score& b, Aim aim);

// What a set must be better than to be of interest.
struct Hurdle {
    Score score;
    Aim aim = Aim::most_reserve;
};

}  // namespace gapwright
