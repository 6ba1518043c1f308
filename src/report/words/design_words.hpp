// Words on designs that text, JSON and pictures share.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "design/design.hpp"
#include "link/link.hpp"

namespace gapwright {

// `value` with `digits` significant figures, rounded downwards or upwards, so that what is said of
// it holds for the rounded number too.
double rounded_down(double value, int digits = 3);
double rounded_up(double value, int digits = 3);

// The reserve asked of a bound, a share of it; nothing against a bound of zero.
double asked_reserve(const Link& link, const Limit& limit);

// What the bound would have to be for the value to keep it with `asked` reserve; nothing where no
// bound would do.
std::optional<double> relaxed_bound(const Limit& limit, double asked);

// A reserve as people read it: "28.7 %"; "no operating point" where it is not finite.
std::string reserve_text(double reserve);
// Of a limit; against a bound of zero in the quantity's own unit.
std::string reserve_text(const Limit& limit);

// A figure of a limit: "12.4 mA" with as many digits as it takes beside its bound, "22.5 %",
// "never".
std::string limit_figure(const Limit& limit, double value);

// "≥ 16.8 V"
std::string bound_text(const Limit& limit);

// How many: "1 771 561", from a thousand million up "5.2e10".
std::string count_text(double count);

// Whether the window holds any value at all.
bool holds_somewhere(const ValueWindow& window);

// "holds from 560 Ω (below: U1 forward current, on) to 5.9 kΩ (above: voltage supply to coil, on)"
std::string window_text(const ValueWindow& window);

// "first choice, fewest parts"; "as chosen" where nothing sets it apart.
std::string characters_text(const Answer& answer);

// "stretch 2.1: all holds until every spread is so many times as wide"; empty where none is known.
std::string answer_stretch(const Answer& answer);

// "input side dead: as in state off"; what it means where no state's promises hold.
std::string when_dead_text(const Answer& answer);

// "Q1, on: base drive 131 µA; asked 830 µA, a twentieth …, so that …".
std::string objection_text(const Objection& objection);

// How well the optimum is known: "none of 1 771 561 sets has more reserve". Empty where there was
// nothing to choose from.
std::string optimum_text(const Answer& answer, bool stopped);

// A side's paths as the link file writes them: "supply > R1 > U1 > return".
std::vector<std::string> paths_text(const LinkSide& side);

}  // namespace gapwright
