// A card of a kind with nothing but defaults and what such a card must state: where a fit begins
// when there is no card to base it on.
#pragma once

#include <optional>

#include "card/description.hpp"
#include "card/part_kind.hpp"

namespace gapwright {

// None for kinds whose needed figures nobody can assume (a zener diode's voltage, a coil's
// resistance). What is stated for want of better is marked as assumed.
std::optional<Description> default_card(Kind kind);

}  // namespace gapwright
