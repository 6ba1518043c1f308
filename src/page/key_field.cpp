#include "page/key_field.hpp"

#include <string>
#include <string_view>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "page/edits.hpp"
#include "page/json.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/card_words.hpp"
#include "report/words/words.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {

Json blank_field(const TomlPath& at, const std::string& key, const std::string& label) {
    return {{"at", json_path(at)},
            {"key", key},
            {"label", label.empty() ? spoken_key(key) : label},
            {"text", ""},
            {"origin", "absent"},
            {"example", ""},
            {"words", Json::array()}};
}

KeyStanding standing_of(const TomlTable& table, const TomlPath& around, const KeyRule& rule,
                        NewKeys places) {
    const auto* group = rule.group.empty() ? nullptr : table.find(rule.group);
    const TomlTable* grouped = group ? group->value.table() : nullptr;
    KeyStanding standing{.at = around};
    for (const TomlTable* where : {&table, grouped}) {
        for (const std::string_view name : {rule.name(), rule.alias}) {
            const auto* entry = where == nullptr || name.empty() ? nullptr : where->find(name);
            if (entry == nullptr) continue;
            if (where == grouped) standing.at.emplace_back(std::string(rule.group));
            standing.at.emplace_back(std::string(name));
            standing.value = &entry->value;
            return standing;
        }
    }
    if (places == NewKeys::grouped && !rule.group.empty()) {
        standing.at.emplace_back(std::string(rule.group));
    }
    standing.at.emplace_back(std::string(rule.name()));
    return standing;
}

Json key_field(const KeyRule& rule, const KeyStanding& standing, const Description& known,
               bool from_card) {
    Json result = blank_field(standing.at, std::string(rule.name()));
    result["example"] = key_example(rule);
    result["words"] = split_words(rule.words);
    if (standing.value != nullptr) {
        result["text"] = typed_text(*standing.value);
        result["origin"] = "file";
        return result;
    }
    const std::string origin = from_card ? "card" : "assumed";
    if (const Figure* figure = known.find(rule.key)) {
        result["text"] = figure_words(rule, *figure);
        result["origin"] = figure->assumed ? "assumed" : origin;
    } else if (const auto choice = known.choices.find(rule.key); choice != known.choices.end()) {
        result["text"] = choice->second;
        result["origin"] = origin;
    }
    return result;
}

}  // namespace gapwright
