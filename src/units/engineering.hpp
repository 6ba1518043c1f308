// Numbers as people read them: engineering notation with a unit.
#pragma once

#include <string>

#include "units/dimension.hpp"

namespace gapwright {

// `value` (in the dimension's inner unit) with `digits` significant figures and an SI prefix from
// p to G: 0.01986 A -> "19.9 mA", 4700 Ω -> "4.70 kΩ", 999.96 -> "1.00 k…". Zero is "0 V". The
// minus sign is U+2212. Below 1e-15 (in the inner unit) counts as zero; NaN prints as "n/a".
// Temperatures print in °C without prefix, as many decimals as `digits` leaves but no more than
// one; ratios without prefix; times from an hour up in h, from two years up in years; angles in °;
// shares per kelvin and per volt in %; rates of voltage in V/ms, V/µs, V/ns where others have k, M,
// G. Infinity prints as "∞ V".
std::string engineering(double value, Dimension dimension, int digits = 3);

// As a good hand meter shows it: a current below 1 nA or a voltage below 10 µV has no figures, only
// "none" or "below 1 nA"; everything else as above.
std::string metered(double value, Dimension dimension, int digits = 3);

// The same as engineering() with trailing zeros dropped: "20 mA", "4.7 kΩ". For values that a
// person stated.
std::string engineering_short(double value, Dimension dimension, int digits = 4);

// "13.8 … 20.2 mA"; each with its own unit where the prefixes differ, "950 µA … 1.2 mA", except
// zero: "0 … 3 mA". One value where both read alike. Trailing zeros are dropped.
std::string engineering_range(double low, double high, Dimension dimension, int digits = 3);

// A ratio as percent, trailing zeros dropped: 0.05 -> "5 %". What is less than the whole never
// reads "100 %"; it gets more digits instead: 0.9996 -> "99.96 %".
std::string percent(double ratio, int digits = 3);

}  // namespace gapwright
