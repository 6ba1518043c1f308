#include "design/needs/need_cards.hpp"

#include <fmt/format.h>

#include <expected>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "circuit/index.hpp"
#include "fit/link_cards.hpp"
#include "link/link.hpp"
#include "link/need.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

Expected<Need> read_checked_need(std::shared_ptr<const SourceText> text,
                                 const std::string& folder) {
    auto need = read_need(std::move(text), folder);
    if (!need) return need;
    std::vector<UsedDescription> used;
    for (const Side side : {Side::input, Side::output}) {
        used.push_back({fmt::format("the {}'s supply", side_name(side)), &need->side(side).supply});
    }
    used.push_back({"the drive", &need->drive.description});
    used.push_back({"the load", &need->load.description});
    CardShelf shelf = shelf_beside(folder);
    std::vector<std::shared_ptr<const Description>> gaps;  // which `used` points to
    for (const auto& name : need->gaps) {
        Problems told_by_read_need;
        if (auto card = shelf.find(name, {}, told_by_read_need)) {
            used.push_back({"the gap", card.get()});
            gaps.push_back(std::move(card));
        }
    }
    if (auto problems = impossible_figures(used); !problems.empty()) {
        return std::unexpected(std::move(problems));
    }
    return need;
}

std::shared_ptr<const Description> sound_card(CardShelf& shelf, const std::string& name) {
    Problems unreadable;
    auto card = shelf.find(name, {}, unreadable);
    if (!card) return nullptr;
    const UsedDescription used[] = {{name, card.get()}};
    return impossible_figures(used).empty() ? card : nullptr;
}

}  // namespace gapwright
