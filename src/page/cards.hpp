// Cards of the folder and shipped ones.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "card/card_reading.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

// Shipped cards have no path; by this and their name they have ids as files do.
inline constexpr std::string_view shipped_prefix = "(shipped) ";

struct CardRead {
    std::string name;  // as links write it
    std::string text;  // of its file
    bool shipped = false;
    std::optional<CardFile> file = {};  // none where its text has problems
    Problems problems = {};
};
// By the id of its file. Errors: 404, or the file cannot be read.
Answered<CardRead> read_card_of(Workspace& workspace, const std::string& id);

// CardView of the contract.
Answered<Json> card_view(Workspace& workspace, const std::string& id);

}  // namespace gapwright
