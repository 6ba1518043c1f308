// How far parts of one type lie apart, from a few of them that were measured.
//
// Two levels: specimens lie about a centre with a deviation; each was measured with its own
// uncertainty. The deviation is not known: it is weighed over all it might be (Gelman & al. 2013,
// Bayesian Data Analysis, section 5.4, with a scaled inverse χ² beforehand), so that three
// specimens give wide limits and thirty narrow ones.
#pragma once

#include <span>

namespace gapwright {

struct MeasuredSpecimen {
    double value = 0;
    double uncertainty = 0;  // standard
};

struct SpecimenSpread {
    double centre = 0;     // of the type
    double deviation = 0;  // between specimens, the middle of what it might be
    // Where a specimen that was not measured lies, in 99 of 100 cases.
    double lowest = 0;
    double highest = 0;
};

// `expected`: the deviation that is usual for such parts; it counts like `counts` specimens.
// Requires one specimen at least, and both above zero.
inline constexpr double expected_counts = 3;
SpecimenSpread spread_of_specimens(std::span<const MeasuredSpecimen> specimens, double expected,
                                   double counts = expected_counts);

}  // namespace gapwright
