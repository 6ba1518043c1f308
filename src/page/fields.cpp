#include "page/fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "page/edits.hpp"
#include "page/form_rules.hpp"
#include "page/json.hpp"
#include "page/judged.hpp"
#include "page/offers.hpp"
#include "report/card_words.hpp"
#include "report/ordered_json.hpp"
#include "report/schematic_view.hpp"
#include "report/words.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

Json words_of(std::string_view list) {
    Json words = Json::array();
    while (!list.empty()) {
        const std::size_t end = std::min(list.find('|'), list.size());
        words.push_back(std::string(list.substr(0, end)));
        list.remove_prefix(std::min(end + 1, list.size()));
    }
    return words;
}

// What somebody could type for a key.
std::string example_of(const KeyRule& rule) {
    if (rule.form == Form::choice || rule.form == Form::description) return "";
    std::string quantity(dimension_first_example(rule.dimension));
    if (rule.form != Form::quantity_at || rule.conditions.empty()) return quantity;
    return fmt::format("{} at {}", quantity, dimension_first_example(rule.conditions.front()));
}

Json field(const TomlPath& at, const std::string& key, std::string label) {
    return {{"at", json_path(at)},
            {"key", key},
            {"label", label.empty() ? spoken_key(key) : std::move(label)},
            {"text", ""},
            {"origin", "absent"},
            {"example", ""},
            {"words", Json::array()}};
}

// Where a key of a part stands in its table: by its name, its alias, or within its card's table.
struct Standing {
    TomlPath at;
    const TomlValue* value = nullptr;
};
Standing standing_of(const TomlTable& table, const TomlPath& part, const KeyRule& rule) {
    Standing standing{.at = part};
    for (const std::string_view name : {rule.name(), rule.alias}) {
        const auto* entry = name.empty() ? nullptr : table.find(name);
        if (entry == nullptr) continue;
        standing.at.emplace_back(std::string(name));
        standing.value = &entry->value;
        return standing;
    }
    if (const auto* group = rule.group.empty() ? nullptr : table.find(rule.group)) {
        const auto* inner = group->value.table();
        if (const auto* entry = inner ? inner->find(rule.name()) : nullptr) {
            standing.at.emplace_back(std::string(rule.group));
            standing.at.emplace_back(std::string(rule.name()));
            standing.value = &entry->value;
            return standing;
        }
    }
    standing.at.emplace_back(std::string(rule.name()));
    return standing;
}

Json part_field(const Description& part, const TomlTable& table, const TomlPath& path,
                const KeyRule& rule) {
    const Standing standing = standing_of(table, path, rule);
    Json result = field(standing.at, std::string(rule.name()), "");
    result["example"] = example_of(rule);
    result["words"] = words_of(rule.words);
    if (standing.value != nullptr) {
        result["text"] = typed_text(*standing.value);
        result["origin"] = "file";
        return result;
    }
    const std::string origin = part.card.empty() ? "assumed" : "card";
    if (const Figure* figure = part.find(rule.key)) {
        result["text"] = figure_words(rule, *figure);
        result["origin"] = figure->assumed ? "assumed" : origin;
    } else if (const auto choice = part.choices.find(rule.key); choice != part.choices.end()) {
        result["text"] = choice->second;
        result["origin"] = origin;
    }
    return result;
}

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
        fields.push_back(part_field(d, table ? *table : nothing, path, rule));
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

class GroupMaker {
  public:
    GroupMaker(const TomlDocument& document, std::string name, int promise = -1)
        : document_(document),
          group_({{"name", std::move(name)}, {"promise", promise}, {"fields", Json::array()}}) {}

    // A value by its path, whether it is there or not.
    GroupMaker& add(const TomlPath& at, const std::string& example, std::string_view words = {},
                    const std::string& label = {}) {
        const auto* key = std::get_if<std::string>(&at.back());
        Json one = field(at, key ? *key : "", label);
        one["example"] = example;
        one["words"] = words_of(words);
        if (const TomlValue* value = value_at(document_.root, at)) {
            one["text"] = typed_text(*value);
            one["origin"] = "file";
        }
        group_["fields"].push_back(std::move(one));
        return *this;
    }
    GroupMaker& add(const TomlPath& around, const FormKey& key) {
        TomlPath at = around;
        at.emplace_back(std::string(key.key));
        return add(at, std::string(key.example), key.words, std::string(key.label));
    }
    // The same where it is there.
    GroupMaker& add_stated(const TomlPath& around, const FormKey& key) {
        TomlPath at = around;
        at.emplace_back(std::string(key.key));
        return value_at(document_.root, at) ? add(around, key) : *this;
    }

    Json take() { return std::move(group_); }

  private:
    const TomlDocument& document_;
    Json group_;
};

Json surroundings_group(const TomlDocument& document) {
    GroupMaker group(document, "Surroundings");
    for (const FormKey& key : surroundings_form()) {
        group.add(TomlPath{std::string("surroundings")}, key);
    }
    return group.take();
}

Json supplies_group(const TomlDocument& document) {
    GroupMaker group(document, "Supplies");
    for (const char* side : {"input", "output"}) {
        group.add({std::string(side), std::string("supply")}, "5 V ± 5 %", {},
                  std::string(side) + " supply");
    }
    return group.take();
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
    groups.push_back(GroupMaker(document, "Title")
                         .add({std::string("title")}, "Bell hammer")
                         .add({std::string("about")}, "What the link is for")
                         .take());
    groups.push_back(surroundings_group(document));
    groups.push_back(supplies_group(document));
    for (const auto& [table, form] : optional_tables()) {
        if (document.root.find(table) == nullptr) continue;
        GroupMaker group(document, spoken_key(std::string(table)));
        for (const FormKey& key : form) group.add(TomlPath{std::string(table)}, key);
        groups.push_back(group.take());
    }
    const auto* promises = document.root.find("promise");
    const auto* list = promises ? promises->value.array() : nullptr;
    for (std::size_t k = 0; list != nullptr && k < list->size(); ++k) {
        GroupMaker group(document, promise_title(judged, k), static_cast<int>(k));
        const TomlPath around = {std::string("promise"), k};
        for (const FormKey& key : promise_form()) {
            if (key.always) {
                group.add(around, key);
            } else {
                group.add_stated(around, key);
            }
        }
        groups.push_back(group.take());
    }
    return groups;
}

Json need_view(const Judged& judged, const std::vector<CardChoice>& cards) {
    const TomlDocument& document = *judged.document;
    if (document.root.find("need") == nullptr) return nullptr;
    const auto path = [](const char* key) {
        return TomlPath{std::string("need"), std::string(key)};
    };
    Json groups = Json::array();
    groups.push_back(GroupMaker(document, "The link")
                         .add({std::string("title")}, "Bell hammer")
                         .add({std::string("about")}, "What it is for")
                         .take());
    for (const auto& [key, name] :
         {std::pair("drive", "What drives it"), std::pair("load", "What it switches")}) {
        GroupMaker group(document, name);
        group.add(path(key), "", {}, "instead, take");
        const TomlValue* value = value_at(document.root, path(key));
        const TomlTable* table = value ? value->table() : nullptr;
        for (const FormKey& one : need_part_form(key)) {
            if (one.always)
                group.add(path(key), one);
            else
                group.add_stated(path(key), one);
        }
        Json made = group.take();
        // What stands there is told key by key; the first field only replaces it as a whole.
        Json& first = made["fields"][0];
        first["text"] = "";
        for (const Offer& offer : offers_at(path(key))) first["words"].push_back(offer.words);
        if (table == nullptr && value != nullptr) first["text"] = typed_text(*value);
        if (value != nullptr && is_offered_example(path(key), typed_text(*value))) {
            made["note"] = "These figures are an example to start from: put those of your part.";
        }
        groups.push_back(std::move(made));
    }
    GroupMaker how(document, "How");
    for (const FormKey& key : need_form()) how.add(TomlPath{std::string("need")}, key);
    groups.push_back(how.take());
    groups.push_back(supplies_group(document));
    groups.push_back(surroundings_group(document));
    GroupMaker choose(document, "What may be used");
    for (const FormKey& key : choose_form()) choose.add(TomlPath{std::string("choose")}, key);
    Json chosen = choose.take();
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
