// Cards of the folder and shipped ones.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "card/card_reading.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "service/exchange.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {

// Shipped cards have no path; by this and their name they have ids as files do.
inline constexpr std::string_view shipped_prefix = "(shipped) ";

struct CardRead {
    std::string name;    // as links write it
    std::string folder;  // where the cards that it names are looked for: a path of the system
    bool shipped = false;
    std::shared_ptr<const SourceText> text = {};
    std::optional<CardFile> file = {};  // none where its text has problems
    Problems problems = {};
};
// By the id of its file. Errors: 404, or the file cannot be read.
Answered<CardRead> read_card_of(Workspace& workspace, const std::string& id);

// The card as it would be with another text.
CardRead card_with(CardRead card, std::string text);

// FieldGroup[] of the contract: the card's title and source, every key of its kind, and the spreads
// that it states; empty where its text cannot be read at all.
Json card_groups(const CardRead& card);

// CardView of the contract. With the card as it was `before`, its charts show that too, dashed.
Json card_view(const std::string& id, const CardRead& card, const CardRead* before = nullptr);

// Questions about one card: /api/cards/ID/… of the contract. `action` is what follows the id: "",
// "try", "save". Errors: 404 for no such action.
Answered<Reply> answer_about_card(Workspace& workspace, const std::string& id,
                                  std::string_view action, const Request& request);

// A NewCard of the contract into the folder; answered by FolderView. Errors: a name that no file
// may have, a file that is there already.
Answered<Json> make_new_card(Workspace& workspace, const Json& order);

}  // namespace gapwright
