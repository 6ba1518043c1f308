// Kept, thin, unknown, broken: how a value stands against its bound.
#pragma once

#include <string_view>

namespace gapwright {

// From best to worst; unknown where the value could not be found.
enum class Verdict : unsigned char { kept, thin, unknown, broken };
std::string_view verdict_name(Verdict verdict);  // "kept", "thin", "unknown", "broken"
Verdict worse(Verdict a, Verdict b);

// Which way a bound holds.
enum class Sense : unsigned char { at_least, at_most };

// `value` against `bound`: broken when it is past it, thin when less than `reserve` (a share of the
// bound's size) is left, kept otherwise. Not a number is broken.
Verdict judge(double value, double bound, Sense sense, double reserve);

// What is left between `value` and `bound` as a share of the bound's size; negative when broken.
// Against a bound of zero the value itself counts, in its own unit.
double reserve_left(double value, double bound, Sense sense);

}  // namespace gapwright
