#include "page/fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "link/need_roles.hpp"
#include "page/edits.hpp"
#include "page/judged.hpp"
#include "page/key_field.hpp"
#include "page/offers.hpp"
#include "report/json/ordered_json.hpp"
#include "report/pictures/part_symbol.hpp"
#include "report/words/card_words.hpp"
#include "report/words/words.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {
namespace {

// Stated ones first, then those of the card, then assumed, then absent.
void sort_by_origin(std::vector<Json>& fields) {
    const auto rank = [](const Json& one) {
        const std::string& origin = one["origin"].get_ref<const std::string&>();
        return origin == "file" ? 0 : origin == "card" ? 1 : origin == "assumed" ? 2 : 3;
    };
    std::ranges::stable_sort(fields, {}, rank);
}

Json part_view(const Judged& judged, const Part& part, const std::vector<CardChoice>& cards) {
    const Description& d = part.description;
    const KindRule& kind = kind_rule(d.kind);
    const TomlPath path = {std::string("parts"), part.name};
    const TomlValue* value = value_at(judged.document->root, path);
    const TomlTable* table = value ? value->table() : nullptr;
    static const TomlTable nothing;
    std::vector<Json> fields;
    for (const KeyRule& rule : kind.keys) {
        const KeyStanding standing =
            standing_of(table ? *table : nothing, path, rule, NewKeys::flat);
        fields.push_back(key_field(rule, standing, d, !d.card.empty()));
    }
    sort_by_origin(fields);
    Json alike = Json::array();
    for (const auto& card : cards) {
        if (card.kind == d.kind) alike.push_back({{"name", card.name}, {"title", card.title}});
    }
    return {{"name", part.name},
            {"kind", kind.name},
            {"title", d.name.empty() ? std::string(kind.name) : d.name},
            {"side", part.is_gap() ? "both"
                     : part.input  ? "input"
                                   : "output"},
            {"value", part_value(part)},
            {"card", d.card},
            {"cards", alike},
            {"fields", fields}};
}

TomlPath path_to(RootKey key) {
    return {std::string(name_of(key))};
}

class GroupMaker {
  public:
    GroupMaker(const TomlDocument& document, std::string name, int promise = -1)
        : document_(document),
          group_({{"name", std::move(name)}, {"promise", promise}, {"fields", Json::array()}}) {}

    // A value by its path, whether it is there or not.
    GroupMaker& add(const TomlPath& at, const std::string& example, std::string_view words = {},
                    const std::string& label = {}) {
        const auto* key = std::get_if<std::string>(&at.back());
        Json one = blank_field(at, key ? *key : "", label);
        one["example"] = example;
        one["words"] = split_words(words);
        if (const TomlValue* value = value_at(document_.root, at)) {
            one["text"] = typed_text(*value);
            one["origin"] = "file";
        }
        group_["fields"].push_back(std::move(one));
        return *this;
    }
    GroupMaker& add(const TomlPath& around, const FileKey& key) {
        return add(below(around, key.name), std::string(key.example), key.takes.words,
                   std::string(key.label));
    }
    // A table's keys: those of which the form has a field where the file states them, then those of
    // which it always has one.
    GroupMaker& add(const TomlPath& around, const FileTable& table) {
        for (const FileKey& key : table.keys) {
            if (key.field == FileKey::Field::stated && stands(around, key.name)) add(around, key);
        }
        for (const FileKey& key : table.keys) {
            if (key.field == FileKey::Field::always) add(around, key);
        }
        return *this;
    }
    // Keys of parts, where the file states them.
    GroupMaker& add_stated(const TomlPath& around, const std::vector<const KeyRule*>& keys) {
        for (const KeyRule* key : keys) {
            if (!stands(around, key->name())) continue;
            add(below(around, key->name()), key_example(*key), key->words);
        }
        return *this;
    }

    Json take() { return std::move(group_); }

  private:
    static TomlPath below(TomlPath around, std::string_view name) {
        around.emplace_back(std::string(name));
        return around;
    }
    bool stands(const TomlPath& around, std::string_view name) const {
        return value_at(document_.root, below(around, name)) != nullptr;
    }

    const TomlDocument& document_;
    Json group_;
};

Json title_group(const TomlDocument& document, const char* name) {
    return GroupMaker(document, name)
        .add({}, row_of(RootKey::title))
        .add({}, row_of(RootKey::about))
        .take();
}

Json surroundings_group(const TomlDocument& document) {
    return GroupMaker(document, "Surroundings")
        .add(path_to(RootKey::surroundings), table_of(SurroundingsKey{}))
        .take();
}

Json supplies_group(const TomlDocument& document) {
    GroupMaker group(document, "Supplies");
    for (const RootKey side : {RootKey::input, RootKey::output}) {
        FileKey supply = row_of(SideKey::supply);
        const std::string label = fmt::format("{} supply", name_of(side));
        supply.label = label;
        group.add(path_to(side), supply);
    }
    return group.take();
}

// What drives the link or what it switches.
Json need_part_group(const TomlDocument& document, NeedKey key, const char* name,
                     const FileTable& known, std::span<const Role> roles) {
    TomlPath path = path_to(RootKey::need);
    path.emplace_back(std::string(name_of(key)));
    Json made = GroupMaker(document, name)
                    .add(path, "", {}, "instead, take")
                    .add(path, known)
                    .add_stated(path, role_keys(roles))
                    .take();
    const TomlValue* value = value_at(document.root, path);
    // What stands there is told key by key; the first field only replaces it as a whole.
    Json& first = made["fields"][0];
    first["text"] = "";
    for (const ValueOffer& offer : offers_at(path)) first["words"].push_back(offer.words);
    if (value != nullptr && value->table() == nullptr) first["text"] = typed_text(*value);
    if (value != nullptr && is_offered_example(path, typed_text(*value))) {
        made["note"] = "These figures are an example to start from: put those of your part.";
    }
    return made;
}

std::string promise_title(const Judged& judged, std::size_t number) {
    if (!judged.link || number >= judged.link->promises.size()) {
        return fmt::format("Promise {}", number + 1);
    }
    return fmt::format("Promise {}: {}", number + 1, judged.link->promises[number].text);
}

}  // namespace

std::vector<CardChoice> card_choices(CardShelf shelf) {
    std::vector<CardChoice> choices;
    for (const auto& name : shelf.names()) {
        Problems ignored;
        const auto card = shelf.find(name, {}, ignored);
        if (!card) continue;
        const bool shipped = card->place.text && card->place.text->name().starts_with("(shipped)");
        choices.push_back({name, card->name.empty() ? name : card->name, card->kind, shipped});
    }
    return choices;
}

Json part_views(const Judged& judged, const std::vector<CardChoice>& cards) {
    Json views = Json::array();
    for (const Part& part : judged.link->parts) views.push_back(part_view(judged, part, cards));
    return views;
}

Json setting_groups(const Judged& judged) {
    const TomlDocument& document = *judged.document;
    Json groups = Json::array();
    groups.push_back(title_group(document, "Title"));
    groups.push_back(surroundings_group(document));
    groups.push_back(supplies_group(document));
    for (const FileTable* table : {&table_of(SignalKey{}), &table_of(DisturbanceKey{}),
                                   &table_of(InsulationKey{}), &table_of(AnalogueKey{})}) {
        if (document.root.find(table->name) == nullptr) continue;
        const std::string name(table->name);
        groups.push_back(GroupMaker(document, spoken_key(name)).add({name}, *table).take());
    }
    const auto* promises = document.root.find(name_of(RootKey::promise));
    const auto* list = promises ? promises->value.array() : nullptr;
    for (std::size_t k = 0; list != nullptr && k < list->size(); ++k) {
        TomlPath around = path_to(RootKey::promise);
        around.emplace_back(k);
        groups.push_back(GroupMaker(document, promise_title(judged, k), static_cast<int>(k))
                             .add(around, table_of(PromiseKey{}))
                             .take());
    }
    return groups;
}

Json need_view(const Judged& judged, const std::vector<CardChoice>& cards) {
    const TomlDocument& document = *judged.document;
    if (document.root.find(name_of(RootKey::need)) == nullptr) return nullptr;
    Json groups = Json::array();
    groups.push_back(title_group(document, "The link"));
    groups.push_back(need_part_group(document, NeedKey::drive, "What drives it",
                                     table_of(DriveKey{}), drive_roles()));
    groups.push_back(need_part_group(document, NeedKey::load, "What it switches",
                                     table_of(LoadKey{}), load_roles()));
    groups.push_back(GroupMaker(document, "How")
                         .add(path_to(RootKey::need), row_of(NeedKey::when))
                         .add(path_to(RootKey::need), row_of(NeedKey::when_dead))
                         .add(path_to(RootKey::need), row_of(NeedKey::rate))
                         .take());
    groups.push_back(supplies_group(document));
    groups.push_back(surroundings_group(document));
    Json chosen = GroupMaker(document, "What may be used")
                      .add(path_to(RootKey::choose), table_of(ChooseKey{}))
                      .take();
    std::string gaps;
    for (const auto& card : cards) {
        if (card.kind != Kind::coupler) continue;
        gaps += (gaps.empty() ? "" : ", ") + card.name;
    }
    chosen["note"] = "gap cards here: " + gaps;
    groups.push_back(std::move(chosen));
    return {{"fields", groups}};
}

}  // namespace gapwright
