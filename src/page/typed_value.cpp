#include "page/typed_value.hpp"

#include <algorithm>
#include <cstddef>
#include <expected>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>

#include "card/card_shelf.hpp"
#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/need_roles.hpp"
#include "page/refusal.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/typed_quantity.hpp"

namespace gapwright {
namespace {

std::string key_at(const TomlPath& path, std::size_t step) {
    const auto* key = step < path.size() ? std::get_if<std::string>(&path[step]) : nullptr;
    return key ? *key : std::string();
}

const std::string* text_at(const TomlTable& table, std::string_view key) {
    const auto* entry = table.find(key);
    return entry ? entry->value.text() : nullptr;
}

// The kind that a table states, or that of the card which it names under `base`.
std::optional<Kind> kind_of(const TomlTable& table, std::string_view base,
                            const std::string& folder) {
    if (const std::string* word = text_at(table, "kind")) {
        const auto kind = kind_named(*word);
        return kind ? std::optional(kind->kind) : std::nullopt;
    }
    const std::string* name = text_at(table, base);
    if (name == nullptr) return std::nullopt;
    Problems ignored;
    const auto card = shelf_beside(folder).find(*name, {}, ignored);
    return card ? std::optional(card->kind) : std::nullopt;
}

std::optional<WantedQuantity> of_rule(const KeyRule& rule) {
    if (rule.form != Form::quantity && rule.form != Form::quantity_at) return std::nullopt;
    return WantedQuantity{.dimension = rule.dimension,
                          .conditions = rule.conditions,
                          .percent = rule.range == Range::share};
}

// parts, R1, value or parts, R1, limits, power.
std::optional<WantedQuantity> of_part(const TomlDocument& document, const TomlPath& path,
                                      const std::string& folder) {
    const bool in_group = path.size() == 4;
    if (path.size() != 3 && !in_group) return std::nullopt;
    const auto* value = value_at(document.root, std::span(path).first(2));
    const auto* table = value ? value->table() : nullptr;
    const auto kind = table ? kind_of(*table, "card", folder) : std::nullopt;
    if (!kind) return std::nullopt;
    const std::string group = in_group ? key_at(path, 2) : std::string();
    const auto* rule = find_named_key(kind_rule(*kind), key_at(path, path.size() - 1), group);
    return rule ? of_rule(*rule) : std::nullopt;
}

// need, drive, high.
std::optional<WantedQuantity> of_need(const TomlPath& path) {
    if (path.size() != 3 || key_at(path, 0) != name_of(RootKey::need)) return std::nullopt;
    const bool drive = key_at(path, 1) == name_of(NeedKey::drive);
    const auto keys = role_keys(drive ? drive_roles() : load_roles());
    const auto found = std::ranges::find(keys, key_at(path, 2), &KeyRule::name);
    return found == keys.end() ? std::nullopt : of_rule(**found);
}

// What the bounds of a promise are: of its quantity, or of the signal.
std::optional<Dimension> dimension_of_promise(const TomlTable& promise, std::string_view key) {
    const std::string* signal = text_at(promise, name_of(PromiseKey::signal));
    if (signal && key != name_of(PromiseKey::reaches)) {
        if (*signal == "pulse width error") return Dimension::ratio;
        if (*signal == "highest rate") return Dimension::signalling_rate;
    }
    if (promise.find(name_of(PromiseKey::voltage))) return Dimension::voltage;
    if (promise.find(name_of(PromiseKey::current))) return Dimension::current;
    if (promise.find(name_of(PromiseKey::power))) return Dimension::power;
    return std::nullopt;
}

// model, gain; or spread, gain: limits alone, without conditions.
std::optional<WantedQuantity> of_card(const TomlTable& card, const TomlPath& path,
                                      const std::string& folder) {
    const KeyRule* rule = card_key_at(card, path, folder);
    auto wanted = rule ? of_rule(*rule) : std::nullopt;
    if (wanted && key_at(path, 0) == "spread") wanted->conditions = {};
    return wanted;
}

std::optional<WantedQuantity> of_link(const TomlDocument& document, const TomlPath& path,
                                      const std::string& folder) {
    if (key_at(path, 0) == name_of(RootKey::parts)) return of_part(document, path, folder);
    const FileKey* key = file_key_at(path);
    if (!key) return of_need(path);
    switch (key->takes.what) {
        case Takes::What::quantity:
        case Takes::What::share:
        case Takes::What::supply:
            return WantedQuantity{.dimension = key->takes.dimension, .percent = key->takes.percent};
        case Takes::What::bound: {
            const auto* promise = value_at(document.root, std::span(path).first(path.size() - 1));
            if (promise == nullptr || !promise->table()) return std::nullopt;
            const auto dimension = dimension_of_promise(*promise->table(), key->name);
            return WantedQuantity{.dimension = dimension,
                                  .form = WantedQuantity::Form::value,
                                  .percent = dimension == Dimension::ratio};
        }
        case Takes::What::text:
        case Takes::What::choice:
        case Takes::What::whole:
        case Takes::What::accuracy:
        case Takes::What::names:
        case Takes::What::two_names:
        case Takes::What::name_or_two:
        case Takes::What::part:
        case Takes::What::parts:
        case Takes::What::states:
        case Takes::What::table:
        case Takes::What::tables:
            return std::nullopt;
    }
    return std::nullopt;
}

}  // namespace

std::optional<Kind> card_kind(const TomlTable& card, const std::string& folder) {
    return kind_of(card, "based_on", folder);
}

const KeyRule* card_key_at(const TomlTable& card, const TomlPath& path, const std::string& folder) {
    if (path.empty() || path.size() > 2) return nullptr;
    const auto kind = card_kind(card, folder);
    if (!kind) return nullptr;
    const std::string group = path.size() == 2 ? key_at(path, 0) : std::string();
    return find_named_key(kind_rule(*kind), key_at(path, path.size() - 1),
                          group == "spread" ? std::string() : group);
}

const FileKey* file_key_at(const TomlPath& path) {
    if (path.empty()) return nullptr;
    std::string table;
    for (const TomlStep& step : std::span(path).first(path.size() - 1)) {
        const auto* key = std::get_if<std::string>(&step);
        if (key != nullptr) table += (table.empty() ? "" : ".") + *key;
    }
    const FileTable* found = table_named(table);
    return found ? found->find(key_at(path, path.size() - 1)) : nullptr;
}

std::optional<WantedQuantity> quantity_at(const TomlDocument& document, const TomlPath& path,
                                          const FileContext& file) {
    switch (file.sort) {
        case FileSort::link:
            return of_link(document, path, file.folder);
        case FileSort::card:
            return of_card(document.root, path, file.folder);
    }
    return std::nullopt;
}

Answered<std::string> written_value(const TomlDocument& document, const TomlPath& path,
                                    const std::string& typed, const FileContext& file) {
    const auto wanted = quantity_at(document, path, file);
    if (!wanted) return typed;
    const auto written = rewrite_quantity(typed, *wanted);
    if (written) return written->text;
    const bool readable = wanted->dimension && wanted->conditions.empty() &&
                          parse_spread(typed, *wanted->dimension).has_value();
    if (!readable) return typed;
    return refused(422, written.error().message, written.error().remedy);
}

}  // namespace gapwright
