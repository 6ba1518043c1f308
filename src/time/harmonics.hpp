// What a bent transfer adds to a sine.
#pragma once

#include <span>

namespace gapwright {

// Shares of the fundamental, not negative.
struct Harmonics {
    double fundamental = 0;  // its peak, in the unit of what was looked at
    double second = 0;
    double third = 0;
    double total = 0;  // the root of the sum of squares of all from the second on
};

// Of one period at equal distances: the discrete Fourier transform, every harmonic below half the
// number of samples. Requires at least 8 samples. Shares are infinite or no number where there is
// no fundamental.
Harmonics harmonics_of(std::span<const double> period);

}  // namespace gapwright
