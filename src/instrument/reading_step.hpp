// In which steps an instrument's readings come, as the readings themselves show it.
#pragma once

#include <span>

namespace gapwright {

// The largest step of which all readings are multiples, in their unit: a power of ten, or, where
// five readings or more differ, a multiple of one. 0 where they come in no steps of 1e-12 or more,
// or where there are none; infinite where all of them are zero, which says nothing of steps but
// that they are larger than what was read. Few readings may show a coarser step than there is,
// never a finer one.
double reading_step(std::span<const double> readings);

// The standard uncertainty of a reading that comes in such steps: as likely anywhere within half a
// step to either side (JCGM 100:2008, F.2.2.1: 0.29 of the step).
inline constexpr double step_uncertainty = 0.29;

}  // namespace gapwright
