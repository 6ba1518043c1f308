// One card file with everything on it, for the commands about cards.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "card/points.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

struct CardFile {
    std::string name;  // under which links would name it, "infrared-led"
    Description card;
    std::vector<MeasuredPoint> points;
};

// A card by the name of its file, "cards/my-led.card.toml", or by the name that links use, looked
// for in this folder, its cards/, then among the shipped ones. Errors: those of CardShelf::find and
// of read_points.
Expected<CardFile> read_card(const std::string& file_or_name);

// The same from a text; cards that it names are looked for in `folder` and its cards/.
Expected<CardFile> read_card_text(const std::shared_ptr<const SourceText>& text,
                                  const std::string& name, const std::string& folder);

}  // namespace gapwright
