// How a part stands in a picture: its symbol and its value in a few characters.
#pragma once

#include <string>

#include "circuit/index.hpp"
#include "draw/picture.hpp"
#include "draw/symbols.hpp"
#include "units/dimension.hpp"

namespace gapwright {

struct Description;
struct Part;
struct Spread;

// Of a gap the half on that side.
Symbol symbol_of(const Description& part, Side side);

// What a card is of, as its symbol alone; a packaged gap in its outline.
Picture card_picture(const Description& card);

// What a part is, in a few characters: "330 Ω ± 5 %", "2 V at 20 mA", "four-pin-coupler-b", "to be
// chosen".
std::string part_value(const Part& part);

// A figure with how far it goes: "330 Ω ± 5 %", "9 V (7 V .. 9.6 V)".
std::string with_tolerance(const Spread& spread, Dimension dimension);

}  // namespace gapwright
