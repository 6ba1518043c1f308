// The gaps that a need may be met with.
#pragma once

#include <vector>
#include "card/card_shelf.hpp"
#include "design/arrangements/arrangement.hpp"
#include "link/need.hpp"

namespace gapwright {

// Every coupler; every phototransistor, faced by the emitter of greatest radiant intensity; every
// light-dependent resistor, faced by the lamp of greatest luminous intensity. Where the need names
// cards, those alone; emitters among them face the receivers. In the order of the cards' names,
// couplers first. A card that cannot be read is left out.
std::vector<GapChoice> gap_choices(const Need& need, CardShelf& shelf);

}  // namespace gapwright
