#include "build/drawer_counts.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <tuple>
#include <vector>

#include "build/part_look.hpp"
#include "build/parts_to_pull.hpp"
#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/drawer.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double alike = 1e-6;  // of values that were written in different ways

bool same_value(const Spread& there, const Spread& asked) {
    const double slack = alike * std::abs(asked.nominal);
    return std::abs(there.nominal - asked.nominal) <= slack &&
           there.lowest >= asked.lowest - slack && there.highest <= asked.highest + slack;
}

bool serves(const DrawerRow& row, const Description& part) {
    if (row.kind != part.kind) return false;
    const auto* value = part.find(Key::value);
    if (!row.value || !value) return !row.card.empty() && row.card == part.card;
    if (!same_value(*row.value, value->spread)) return false;
    const auto* power = part.find(Key::power);
    return !power || (row.power && *row.power >= power->spread.nominal * (1 - alike));
}

}  // namespace

DrawerCounts::DrawerCounts(const Drawer& drawer, CardShelf& shelf)
    : drawer_(drawer), shelf_(shelf) {
    for (const auto& row : drawer.rows) left_.push_back(row.count);
}

std::vector<std::size_t> DrawerCounts::serving(const Description& part) const {
    std::vector<std::size_t> found;
    for (std::size_t k = 0; k < rows().size(); ++k) {
        if (holds(k) && serves(rows()[k], part)) found.push_back(k);
    }
    // What is better than asked is left to parts that ask for it.
    std::ranges::stable_sort(found, {}, [&](std::size_t k) {
        const auto& row = rows()[k];
        const double width = row.value ? row.value->highest - row.value->lowest : 0;
        return std::tuple(row.power.value_or(0), -width);
    });
    return found;
}

PartLook DrawerCounts::look(std::size_t row) {
    const DrawerRow& r = rows()[row];
    Problems unreadable;  // told where the card is used; here its name will do
    const auto card = r.card.empty() ? nullptr : shelf_.find(r.card, r.place, unreadable);
    return look_of(r, card ? card->name : r.card);
}

DrawerSource DrawerCounts::take(std::size_t row, const std::string& designator) {
    if (auto& left = left_[row]) --*left;
    const DrawerRow& r = rows()[row];
    return {.designators = {designator},
            .look = look(row),
            .row = row,
            .line = r.place.text ? r.place.text->line_column(r.place.begin).line : 0,
            .note = r.note};
}

DrawerCounts::Resistors DrawerCounts::resistors_left() const {
    Resistors left;
    for (std::size_t k = 0; k < rows().size(); ++k) {
        const DrawerRow& row = rows()[k];
        if (row.kind != Kind::resistor || !row.value || row.value->lowest <= 0) continue;
        if (!holds(k)) continue;
        left.drawer.rows.push_back(row);
        left.drawer.rows.back().count = left_[k];
        left.rows.push_back(k);
    }
    return left;
}

}  // namespace gapwright
