// Where cards are found: a link file's folder, its `cards/`, then the shipped cards.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "card/description.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

class CardShelf {
  public:
    // `folders` are searched in order for NAME.card.toml, before the shipped cards.
    explicit CardShelf(std::vector<std::filesystem::path> folders);

    // The card of that name; `asked_at` is where the name stands, for messages. Empty, with
    // problems added, when there is none, it is not readable, or it refers to itself in a circle
    // (unknown_name, card_cycle, or the card file's own errors). Each card is read once.
    std::shared_ptr<const Description> find(const std::string& name, const Place& asked_at,
                                            Problems& problems);

    // A card's text as the card of that name, whatever the shelf has under it; the cards that it
    // names are looked for on the shelf. Empty, with problems added, as above.
    std::shared_ptr<const Description> read(const std::shared_ptr<const SourceText>& text,
                                            const std::string& name, Problems& problems);

    // The names of all cards on the shelf, sorted.
    std::vector<std::string> names() const;

  private:
    std::shared_ptr<const SourceText> text_of(const std::string& name, const Place& asked_at,
                                              Problems& problems) const;

    std::vector<std::filesystem::path> folders_;
    std::map<std::string, std::shared_ptr<const Description>> read_;  // empty pointer: has errors
    std::vector<std::string> under_way_;
};

}  // namespace gapwright
