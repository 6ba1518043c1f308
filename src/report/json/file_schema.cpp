#include "report/json/file_schema.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/need_roles.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/card_words.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

using What = Takes::What;

Json any_text() {
    return {{"type", "string"}};
}

// Pure ratios may be plain numbers.
Json text_or_number() {
    return {{"type", {"string", "number"}}};
}

Json one_of(const std::vector<std::string>& words) {
    return {{"enum", words}};
}

Json either(Json one, Json other) {
    return {{"anyOf", {std::move(one), std::move(other)}}};
}

Json list_of(int least, int most = 0) {
    Json list = {{"type", "array"}, {"items", any_text()}, {"minItems", least}};
    if (most > 0) list["maxItems"] = most;
    return list;
}

// A table whose keys are names that the file gives.
Json named(Json value) {
    return {{"type", "object"}, {"additionalProperties", std::move(value)}};
}

// A table of these keys and no others.
Json closed(Json properties) {
    return {
        {"type", "object"}, {"properties", std::move(properties)}, {"additionalProperties", false}};
}

// Names without blanks, which references cannot hold.
std::string definition(std::string_view name) {
    std::string text(name);
    std::ranges::replace(text, ' ', '-');
    return text;
}

Json reference(std::string_view name) {
    return {{"$ref", "#/$defs/" + definition(name)}};
}

Json settings() {
    std::vector<std::string> words;
    for (const Setting setting : {Setting::open, Setting::closed, Setting::low, Setting::high}) {
        words.emplace_back(setting_word(setting));
    }
    return one_of(words);
}

// --- parts ---------------------------------------------------------------------------------------

Json value_of(const KeyRule& rule) {
    switch (rule.form) {
        case Form::quantity:
            return rule.dimension == Dimension::ratio || rule.may_be_plain ? text_or_number()
                                                                           : any_text();
        case Form::quantity_at:
            return any_text();
        case Form::choice: {
            std::vector<std::string> words = split_words(rule.words);
            if (rule.key == Key::channel) {
                for (const auto& word : split_words(rule.words)) words.push_back(word + "-channel");
            }
            return one_of(words);
        }
        case Form::description:
            return either(any_text(), reference("described"));
    }
    return {};
}

Json described(const KeyRule& rule) {
    Json value = value_of(rule);
    if (rule.form == Form::choice || rule.form == Form::description) return value;
    std::string text(dimension_name(rule.dimension));
    if (rule.standard) {
        const Usual& usual = *rule.standard;
        const Figure figure{
            .spread = {usual.nominal, usual.lowest, usual.highest}, .conditions = {}, .place = {}};
        text += fmt::format("; where nothing is stated {}", figure_words(rule, figure));
    }
    value["description"] = text;
    value["examples"] = {key_example(rule)};
    return value;
}

// Adds what a key takes; where kinds differ in that, what any of them does.
void add(Json& properties, std::string_view name, Json value) {
    Json& known = properties[std::string(name)];
    if (known.is_null() || known == value) {
        known = std::move(value);
        return;
    }
    if (!known.contains("anyOf") || known.contains("description")) {
        known = {{"anyOf", Json::array({std::move(known)})}};
    }
    if (std::ranges::find(known["anyOf"], value) == known["anyOf"].end()) {
        known["anyOf"].push_back(std::move(value));
    }
}

// What every part may state.
Json common_keys() {
    return {{"kind", any_text()},
            {"card", {{"type", "string"}, {"description", "the card to begin with"}}},
            {"name", any_text()},
            {"source", any_text()},
            {"note", any_text()},
            {"spread", {{"type", "object"}, {"description", "limits of figures"}}}};
}

// Keys of parts, flat and in their groups.
Json part_keys(std::span<const KeyRule* const> rules) {
    Json properties = common_keys();
    Json groups = Json::object();
    for (const KeyRule* rule : rules) {
        add(properties, rule->name(), described(*rule));
        if (!rule->alias.empty()) add(properties, rule->alias, described(*rule));
        if (!rule->group.empty()) {
            add(groups[std::string(rule->group)], rule->name(), described(*rule));
        }
    }
    for (const auto& [group, keys] : groups.items()) add(properties, group, closed(keys));
    return properties;
}

std::vector<const KeyRule*> keys_of(const KindRule& kind) {
    std::vector<const KeyRule*> keys;
    for (const KeyRule& key : kind.keys) keys.push_back(&key);
    return keys;
}

// A part that may be of several kinds: what it states depends on that.
struct PartCase {
    std::vector<std::string> words;  // of its kind
    Json schema;
};

// Of a card alone the kind is not known here: `otherwise` is what may stand beside it.
Json part_of(std::span<const PartCase> cases, Json otherwise) {
    std::vector<std::string> words;
    Json rules = Json::array();
    for (const PartCase& one : cases) {
        words.insert(words.end(), one.words.begin(), one.words.end());
        rules.push_back(
            {{"if", {{"properties", {{"kind", one_of(one.words)}}}, {"required", {"kind"}}}},
             {"then", one.schema}});
    }
    rules.push_back({{"if", {{"not", {{"required", {"kind"}}}}}}, {"then", std::move(otherwise)}});
    return {{"type", "object"},
            {"properties", {{"kind", one_of(words)}}},
            {"anyOf", {{{"required", {"kind"}}}, {{"required", {"card"}}}}},
            {"allOf", std::move(rules)}};
}

constexpr const char* any_kind = "of any kind";

Json part(bool on_cards_too) {
    std::vector<PartCase> cases;
    for (const KindRule& kind : kind_rules()) {
        if (kind.card_only && !on_cards_too) continue;
        cases.push_back({kind_words(kind.kind), reference(kind.name)});
    }
    return part_of(cases, reference(any_kind));
}

// What may be referred to.
Json definitions() {
    Json all = Json::object();
    std::vector<const KeyRule*> keys;
    for (const KindRule& kind : kind_rules()) {
        const auto own = keys_of(kind);
        all[definition(kind.name)] = closed(part_keys(own));
        keys.insert(keys.end(), own.begin(), own.end());
    }
    all[definition(any_kind)] = closed(part_keys(keys));
    all["part"] = part(false);
    all["described"] = part(true);
    return all;
}

// --- tables of the file --------------------------------------------------------------------------

Json table_schema(const FileTable& table);

// Keys of a kind and the need's own, which come first where both have one of that name.
Json need_part(const FileTable& own, std::span<const Role> roles) {
    const Json own_keys = table_schema(own)["properties"];
    const auto with_own = [&](std::span<const KeyRule* const> keys) {
        Json properties = part_keys(keys);
        for (const auto& [name, value] : own_keys.items()) properties[name] = value;
        return closed(std::move(properties));
    };
    std::vector<PartCase> cases;
    for (const Role& role : roles) {
        cases.push_back({{std::string(role.word)}, with_own(keys_of(kind_rule(role.kind)))});
    }
    return part_of(cases, with_own(role_keys(roles)));
}

Json value_of(const FileKey& key) {
    const auto inner = [&] { return table_schema(*table_named(key.name)); };
    switch (key.takes.what) {
        case What::text:
        case What::accuracy:
            return any_text();
        case What::choice:
            return one_of(split_words(key.takes.words));
        case What::quantity:
            return key.takes.dimension == Dimension::ratio ? text_or_number() : any_text();
        case What::bound:
            return text_or_number();
        case What::whole:
            return {{"type", "integer"}, {"minimum", key.takes.least}, {"maximum", key.takes.most}};
        case What::share:
            return either(text_or_number(), named(text_or_number()));
        case What::names:
            return list_of(1);
        case What::two_names:
            return list_of(2, 2);
        case What::name_or_two:
            return either(any_text(), list_of(1, 2));
        case What::supply:
            return either(any_text(), reference(kind_rule(Kind::battery).name));
        case What::part:
            return key.name == name_of(NeedKey::drive)
                       ? need_part(table_of(DriveKey{}), drive_roles())
                       : need_part(table_of(LoadKey{}), load_roles());
        case What::parts:
            return named(reference("part"));
        case What::states:
            return named(named(settings()));
        case What::table:
            return inner();
        case What::tables:
            return {{"type", "array"}, {"items", inner()}};
    }
    return {};
}

// The words of a row without the marks of Markdown.
std::string description_of(const FileKey& key) {
    std::string text(key.meaning);
    if (!key.standard.empty()) text += fmt::format("; where nothing is stated {}", key.standard);
    std::erase(text, '`');
    return text;
}

Json table_schema(const FileTable& table) {
    Json properties = Json::object();
    Json needed = Json::array();
    for (const FileKey& key : table.keys) {
        Json value = value_of(key);
        value["description"] = description_of(key);
        properties[std::string(key.name)] = std::move(value);
        if (key.needed) needed.push_back(key.name);
    }
    Json schema = closed(std::move(properties));
    if (!needed.empty()) schema["required"] = std::move(needed);
    return schema;
}

}  // namespace

std::string file_schema() {
    const auto names = [](std::initializer_list<RootKey> keys) {
        Json list = Json::array();
        for (const RootKey key : keys) list.push_back(name_of(key));
        return Json{{"required", std::move(list)}};
    };
    Json schema = {{"$schema", "https://json-schema.org/draft/2020-12/schema"},
                   {"title", "A link file"}};
    schema.update(table_schema(table_of(RootKey{})));
    schema["anyOf"] = {names({RootKey::input, RootKey::output, RootKey::parts}),
                       names({RootKey::need})};
    schema["$defs"] = definitions();
    return schema.dump(2);
}

}  // namespace gapwright
