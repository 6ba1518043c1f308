// What is tried in place of a missing part, in which order, and how it is written into the link.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "build/drawer_counts.hpp"
#include "build/replacements.hpp"
#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/drawer.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "design/values/fill_values.hpp"
#include "design/values/stock.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/text_edit.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

const TomlTable* part_table(const TomlDocument& document, const std::string& part) {
    const auto* parts = document.root.find("parts");
    const auto* table = parts ? parts->value.table() : nullptr;
    const auto* entry = table ? table->find(part) : nullptr;
    return entry ? entry->value.table() : nullptr;
}

// The name of a card in a table that says nothing else: figures beside it were measured on, or
// meant for, that very part.
std::optional<Place> sole_card(const TomlTable& table) {
    const auto* card = table.find("card");
    if (!card || !card->value.text() || table.entries.size() != 1) return std::nullopt;
    return card->value.place;
}

// Where the link file names the card of a part, or of one half of a pair.
std::optional<Place> card_place(const TomlTable& table, WantedPart::Role role) {
    if (role == WantedPart::Role::whole) return sole_card(table);
    const auto* half = table.find(role == WantedPart::Role::emitter ? "emitter" : "receiver");
    if (!half) return std::nullopt;
    if (half->value.text()) return half->value.place;
    return half->value.table() ? sole_card(*half->value.table()) : std::nullopt;
}

bool same_polarity(const Description& a, const Description& b) {
    return a.choice(Key::polarity, "npn") == b.choice(Key::polarity, "npn") &&
           a.choice(Key::channel, "n") == b.choice(Key::channel, "n");
}

// An infrared emitter keeps every promise of an indicator, and shows nothing.
bool same_light(const Description& asked, const Description& other) {
    return std::ranges::all_of(std::array{Key::luminous_intensity, Key::radiant_intensity},
                               [&](Key key) { return !asked.find(key) || other.find(key); });
}

double unlikeness(double value, double asked) {
    return std::abs(std::log(value / asked));
}

// A resistor without a stated power cannot stand in for one with it: its rating is not known.
bool rated_as_asked(const std::optional<double>& power, const Description& asked) {
    return power || !asked.find(Key::power);
}

}  // namespace

std::optional<ReplacementFinder::Candidates> ReplacementFinder::singles(const WantedPart& wanted) {
    if (wanted.description->kind != Kind::resistor) return cards(wanted);
    const auto document = read_toml(text_);
    const auto* table = document ? part_table(*document, wanted.part) : nullptr;
    if (!table || (!table->find("value") && !table->find("resistance"))) return std::nullopt;
    return resistors(wanted);
}

ReplacementFinder::Candidates ReplacementFinder::resistors(const WantedPart& wanted) {
    const double asked = wanted.description->nominal(Key::value);
    const auto left = counts_.resistors_left();
    std::vector<std::size_t> order;
    for (std::size_t k = 0; k < left.rows.size(); ++k) {
        if (rated_as_asked(left.drawer.rows[k].power, *wanted.description)) order.push_back(k);
    }
    std::ranges::stable_sort(order, {}, [&](std::size_t k) {
        return unlikeness(left.drawer.rows[k].value->nominal, asked);
    });
    if (order.size() > options_.most_candidates) order.resize(options_.most_candidates);
    Candidates candidates;
    for (const auto k : order) {
        const DrawerRow& row = left.drawer.rows[k];
        const StockValue part{*row.value, row.power, row.count};
        const ValueToFill value{.part = *link_.find_part(wanted.part),
                                .parts = {part},
                                .joint = Joint::single,
                                .whole = {.value = part.value, .power = part.power}};
        candidates.push_back({.name = counts_.look(left.rows[k]).text,
                              .rows = {left.rows[k]},
                              .joint = Joint::single,
                              .text = fill_values(text_, link_, {value}),
                              .value = part.value});
    }
    return candidates;
}

ReplacementFinder::Candidates ReplacementFinder::pairs(const WantedPart& wanted) {
    const double asked = wanted.description->nominal(Key::value);
    auto left = counts_.resistors_left();
    for (std::size_t k = left.rows.size(); k-- > 0;) {
        const auto at = static_cast<std::ptrdiff_t>(k);
        if (rated_as_asked(left.drawer.rows[k].power, *wanted.description)) continue;
        left.drawer.rows.erase(left.drawer.rows.begin() + at);
        left.rows.erase(left.rows.begin() + at);
    }
    Stock stock = stock_of(left.drawer, "");
    std::erase_if(stock.choices, [](const Choice& choice) { return choice.count != 2; });
    std::ranges::stable_sort(stock.choices, {}, [&](const Choice& choice) {
        return unlikeness(choice.value.nominal, asked);
    });
    if (stock.choices.size() > options_.most_pairs) stock.choices.resize(options_.most_pairs);
    Candidates candidates;
    for (const Choice& choice : stock.choices) {
        const auto value = value_to_fill(stock, choice, *link_.find_part(wanted.part));
        candidates.push_back({.name = choice_text(stock, choice),
                              .rows = {},
                              .joint = choice.joint,
                              .text = fill_values(text_, link_, {value}),
                              .value = choice.value});
        for (const auto k : choice.used()) candidates.back().rows.push_back(left.rows[k]);
    }
    return candidates;
}

std::optional<ReplacementFinder::Candidates> ReplacementFinder::cards(const WantedPart& wanted) {
    if (wanted.description->card.empty()) return std::nullopt;
    const auto document = read_toml(text_);
    const auto* table = document ? part_table(*document, wanted.part) : nullptr;
    const auto place = table ? card_place(*table, wanted.role) : std::nullopt;
    if (!place) return std::nullopt;
    Candidates candidates;
    std::set<std::string> seen = {wanted.description->card};
    for (std::size_t k = 0; k < counts_.rows().size(); ++k) {
        const DrawerRow& row = counts_.rows()[k];
        if (row.kind != wanted.description->kind || row.card.empty() || !counts_.holds(k)) continue;
        if (!seen.insert(row.card).second) continue;
        Problems unreadable;  // a card that cannot be read is no candidate
        const auto card = shelf_.find(row.card, row.place, unreadable);
        if (!card || card->kind != row.kind) continue;
        const Description& asked = *wanted.description;
        if (!same_polarity(asked, *card) || !same_light(asked, *card)) continue;
        candidates.push_back(
            {.name = card->name,
             .rows = {k},
             .joint = Joint::single,
             .text =
                 edited(text_->text(), {replacement_at(*place, fmt::format("\"{}\"", row.card))})});
        if (candidates.size() == options_.most_candidates) break;
    }
    return candidates;
}

}  // namespace gapwright
