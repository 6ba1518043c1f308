// The cards that a design rests on: those that a need names, which must be sound, and those that a
// shelf happens to hold, of which only sound ones are taken.
#pragma once

#include <memory>
#include <string>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "link/need.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// read_need, and what it names can be: its supplies, its drive, its load and its gaps. Errors:
// those of read_need; impossible_figure.
Expected<Need> read_checked_need(std::shared_ptr<const SourceText> text, const std::string& folder);

// The card of that name; none where it cannot be read or cannot be. Such a card is as good as none:
// naming it in a file tells why.
std::shared_ptr<const Description> sound_card(CardShelf& shelf, const std::string& name);

}  // namespace gapwright
