// The cards that travel inside the program: the files of the repository's cards/.
#pragma once

#include <span>
#include <string_view>

namespace gapwright {

struct ShippedCard {
    std::string_view name;  // as links write it, "four-pin-coupler-b"
    std::string_view text;  // the card file's text
};

// In the order of their names.
std::span<const ShippedCard> shipped_cards();

}  // namespace gapwright
