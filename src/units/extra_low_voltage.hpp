// The upper end of extra-low voltage, above which cautions stand and local codes govern.
#pragma once

namespace gapwright {

// As the trade uses it, V d.c. (ES1 of IEC 62368-1; from memory, to be checked against the
// standard).
inline constexpr double extra_low_voltage = 60;

}  // namespace gapwright
