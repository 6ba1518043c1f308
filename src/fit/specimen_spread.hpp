// How far parts of one type lie apart, from a few of them that were measured.
//
// Statistical tolerance limits of a normal law, two-sided: with 95 % confidence 99 of 100 parts lie
// within centre ± k·deviation, k = z_{0.995}·√(ν·(1 + 1/n)/χ²_{0.05; ν}) (Howe 1969, J. Amer.
// Statist. Assoc. 64, p. 610; the exact factors stand in ISO 16269-6). Of fewer than five
// specimens alone k says next to nothing: they are joined by what is usual of such parts.
#pragma once

#include <cstddef>
#include <span>

namespace gapwright {

struct MeasuredSpecimen {
    double value = 0;
    double uncertainty = 0;  // standard
};

struct SpecimenSpread {
    double centre = 0;              // of the type
    double centre_uncertainty = 0;  // standard
    double deviation = 0;           // between parts
    // Where 99 of 100 parts lie, with 95 % confidence.
    double lowest = 0;
    double highest = 0;
    bool joined = false;  // by what is usual
};

// The number of specimens from which on they speak for themselves; own choice.
inline constexpr std::size_t enough_specimens = 5;

// The factor k of `specimens` whose deviation has `freedom` degrees of freedom (both above zero).
double tolerance_factor(double specimens, double freedom);

// `expected`: the deviation that is usual for such parts; where it counts, it counts like `counts`
// specimens. Requires one specimen at least, and both above zero.
inline constexpr double expected_counts = 3;
SpecimenSpread spread_of_specimens(std::span<const MeasuredSpecimen> specimens, double expected,
                                   double counts = expected_counts);

}  // namespace gapwright
