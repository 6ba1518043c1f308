// A link as its screen shows it. LinkView of the contract.
#pragma once

#include <string>
#include <vector>
#include "folder/working_file.hpp"
#include "page/fields.hpp"
#include "page/judged.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// What of a link is the same whether its text is saved or only tried.
struct LinkShown {
    std::string id;
    std::string state;  // in the schematic
    const std::vector<CardChoice>& cards;
};

// `file` is asked for what is saved and for its history; the views are those of `judged`.
Json link_view(const LinkShown& shown, const WorkingFile& file, const Judged& judged);

// A link among the others of its folder. LinkTile of the contract.
Json tile_view(const Judged& judged);

}  // namespace gapwright
