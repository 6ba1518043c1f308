// The values of a file as fields of a form. Field, PartView, SettingGroup, NeedView of the
// contract.
#pragma once

#include <string>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/part_kind.hpp"
#include "page/judged.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// Which cards there are, so that not every view reads them all.
struct CardChoice {
    std::string name;
    std::string title;
    Kind kind = Kind::resistor;
    bool shipped = true;
};
std::vector<CardChoice> card_choices(CardShelf shelf);

// PartView[]: requires a link.
Json part_views(const Judged& judged, const std::vector<CardChoice>& cards);

// SettingGroup[] of a text that could be read as TOML: title, surroundings, supplies, states,
// promises.
Json setting_groups(const Judged& judged);

// NeedView, or null where the file states none.
Json need_view(const Judged& judged, const std::vector<CardChoice>& cards);

}  // namespace gapwright
