// A card as a form.
#include <algorithm>
#include <cctype>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/assumed_limits.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "page/cards.hpp"
#include "page/edits.hpp"
#include "page/key_field.hpp"
#include "page/typed_value.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/card_words.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {
namespace {

// What a card says of itself.
struct AboutCard {
    std::string_view key;
    std::string_view label;
    std::string_view example;
    bool always;  // else only where the card states it
};
constexpr AboutCard about_card[] = {
    {"name", "title", "Infrared emitter of the vane", true},
    {"source", "source", "measured on five specimens", true},
    {"based_on", "based on", "infrared-led", false},
    {"note", "note", "", false},
};

Json group_of(std::string name) {
    if (!name.empty()) {
        name.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(name.front())));
    }
    return {{"name", name.empty() ? "The part itself" : std::move(name)},
            {"fields", Json::array()}};
}

void put_value(Json& field, const TomlValue* value) {
    if (value == nullptr) return;
    field["text"] = typed_text(*value);
    field["origin"] = "file";
}

Json about_group(const TomlTable& card) {
    Json group = group_of("the card");
    for (const AboutCard& about : about_card) {
        const TomlPath at = {std::string(about.key)};
        const TomlValue* value = value_at(card, at);
        if (value == nullptr && !about.always) continue;
        Json field = blank_field(at, std::string(about.key), std::string(about.label));
        field["example"] = about.example;
        put_value(field, value);
        group["fields"].push_back(std::move(field));
    }
    return group;
}

// The spreads that the card states apart from their figures.
Json spread_group(const TomlTable& card, const KindRule& kind) {
    Json group = group_of("spread");
    const auto* entry = card.find("spread");
    const TomlTable* spreads = entry ? entry->value.table() : nullptr;
    if (spreads == nullptr) return group;
    for (const TomlEntry& spread : spreads->entries) {
        const bool law = spread.key == "distribution";
        const KeyRule* rule = find_named_key(kind, spread.key);
        if (!law && rule == nullptr) continue;  // told as a problem of the text
        const std::string of = law ? "distribution" : "spread of " + spoken_key(rule->key);
        Json field = blank_field({std::string("spread"), spread.key}, spread.key, of);
        if (law) field["words"] = {"normal", "uniform"};
        field["example"] = law ? "" : "± 10 %";
        put_value(field, &spread.value);
        group["fields"].push_back(std::move(field));
    }
    return group;
}

// A part within the card that is described there: only the whole text has room for it.
bool is_described(const KeyRule& rule, const TomlValue* value) {
    return rule.form == Form::description && value != nullptr && value->table() != nullptr;
}

// What links assume of a limit that the card does not state.
void put_assumed_limit(Json& field, const KeyRule& rule, const Description& known) {
    std::optional<double> value;
    if (rule.key == Key::zero_rating_at) {
        value = assumed_zero_rating_at(known.kind);
    } else if (const auto limit = assumed_limit(known, rule.key)) {
        value = limit->value;
    }
    if (!value) return;
    field["text"] = key_value(rule, *value);
    field["origin"] = "assumed";
}

}  // namespace

Json card_groups(const CardRead& card) {
    Json groups = Json::array();
    const auto document = read_toml(card.text);
    if (!document) return groups;
    const TomlTable& root = document->root;
    groups.push_back(about_group(root));
    const auto kind = card_kind(root, card.folder);
    if (!kind) return groups;
    static const Description nothing;
    const Description& known = card.file ? card.file->card : nothing;
    const bool based = root.find("based_on") != nullptr;
    std::vector<std::string_view> names;
    for (const KeyRule& rule : kind_rule(*kind).keys) {
        if (std::ranges::find(names, rule.group) == names.end()) names.push_back(rule.group);
    }
    for (const std::string_view name : names) {
        Json group = group_of(std::string(name));
        for (const KeyRule& rule : kind_rule(*kind).keys) {
            if (rule.group != name) continue;
            const KeyStanding standing = standing_of(root, {}, rule, NewKeys::grouped);
            if (is_described(rule, standing.value)) continue;
            Json field = key_field(rule, standing, known, based);
            if (card.file && field["origin"] == "absent") put_assumed_limit(field, rule, known);
            group["fields"].push_back(std::move(field));
        }
        groups.push_back(std::move(group));
    }
    if (Json spreads = spread_group(root, kind_rule(*kind)); !spreads["fields"].empty()) {
        groups.push_back(std::move(spreads));
    }
    return groups;
}

}  // namespace gapwright
