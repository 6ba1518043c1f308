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
#include "link/link.hpp"
#include "page/form_rules.hpp"
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

// The kind of a part or of the card that it names.
std::optional<Kind> kind_of(const TomlTable& part, const std::string& folder) {
    if (const std::string* word = text_at(part, "kind")) {
        const auto kind = kind_named(*word);
        return kind ? std::optional(kind->kind) : std::nullopt;
    }
    const std::string* name = text_at(part, "card");
    if (name == nullptr) return std::nullopt;
    Problems ignored;
    const auto card = shelf_beside(folder).find(*name, {}, ignored);
    return card ? std::optional(card->kind) : std::nullopt;
}

// parts, R1, value or parts, R1, limits, power.
std::optional<WantedQuantity> of_part(const TomlDocument& document, const TomlPath& path,
                                      const std::string& folder) {
    const bool in_group = path.size() == 4;
    if (path.size() != 3 && !in_group) return std::nullopt;
    const auto* value = value_at(document.root, std::span(path).first(2));
    const auto* table = value ? value->table() : nullptr;
    const auto kind = table ? kind_of(*table, folder) : std::nullopt;
    if (!kind) return std::nullopt;
    const std::string group = in_group ? key_at(path, 2) : std::string();
    const auto* rule = find_named_key(kind_rule(*kind), key_at(path, path.size() - 1), group);
    if (rule == nullptr || (rule->form != Form::quantity && rule->form != Form::quantity_at)) {
        return std::nullopt;
    }
    return WantedQuantity{.dimension = rule->dimension,
                          .conditions = rule->conditions,
                          .percent = rule->range == Range::share};
}

// What the bounds of a promise are: of its quantity, or of the signal.
std::optional<Dimension> dimension_of_promise(const TomlTable& promise, std::string_view key) {
    const std::string* signal = text_at(promise, "signal");
    if (signal && key != "reaches") {
        if (*signal == "pulse width error") return Dimension::ratio;
        if (*signal == "highest rate") return Dimension::signalling_rate;
    }
    if (promise.find("voltage")) return Dimension::voltage;
    if (promise.find("current")) return Dimension::current;
    if (promise.find("power")) return Dimension::power;
    return std::nullopt;
}

std::optional<FormKey> form_key(std::span<const FormKey> form, std::string_view key) {
    const auto found = std::ranges::find(form, key, &FormKey::key);
    return found == form.end() ? std::nullopt : std::optional(*found);
}

// The row of a form that is about the value at a path.
std::optional<FormKey> form_key_at(const TomlPath& path) {
    const std::string table = key_at(path, 0);
    const std::string key = key_at(path, path.size() - 1);
    if (table == "promise") return form_key(promise_form(), key);
    if (table == "need" && path.size() == 3) return form_key(need_part_form(key_at(path, 1)), key);
    if (path.size() != 2) return std::nullopt;
    if (table == "surroundings") return form_key(surroundings_form(), key);
    if (table == "need") return form_key(need_form(), key);
    if (table == "choose") return form_key(choose_form(), key);
    for (const auto& [name, form] : optional_tables()) {
        if (name == table) return form_key(form, key);
    }
    return std::nullopt;
}

}  // namespace

std::optional<WantedQuantity> quantity_at(const TomlDocument& document, const TomlPath& path,
                                          const std::string& folder) {
    if (path.empty()) return std::nullopt;
    const std::string table = key_at(path, 0);
    if (table == "parts") return of_part(document, path, folder);
    if ((table == "input" || table == "output") && path.size() == 2) {
        if (key_at(path, 1) != "supply") return std::nullopt;
        return WantedQuantity{.dimension = Dimension::voltage};
    }
    const auto key = form_key_at(path);
    if (!key) return std::nullopt;
    switch (key->takes.what) {
        case Takes::What::quantity:
            return WantedQuantity{.dimension = key->takes.dimension, .percent = key->takes.percent};
        case Takes::What::bound: {
            const auto* promise = value_at(document.root, std::span(path).first(path.size() - 1));
            if (promise == nullptr || !promise->table()) return std::nullopt;
            const auto dimension = dimension_of_promise(*promise->table(), key->key);
            return WantedQuantity{.dimension = dimension,
                                  .form = WantedQuantity::Form::value,
                                  .percent = dimension == Dimension::ratio};
        }
        case Takes::What::words:
        case Takes::What::number:
            return std::nullopt;
    }
    return std::nullopt;
}

bool takes_number(const TomlPath& path) {
    const auto key = form_key_at(path);
    return key && key->takes.what == Takes::What::number;
}

Answered<std::string> written_value(const TomlDocument& document, const TomlPath& path,
                                    const std::string& typed, const std::string& folder) {
    const auto wanted = quantity_at(document, path, folder);
    if (!wanted) return typed;
    const auto written = rewrite_quantity(typed, *wanted);
    if (written) return written->text;
    const bool readable = wanted->dimension && wanted->conditions.empty() &&
                          parse_spread(typed, *wanted->dimension).has_value();
    if (!readable) return typed;
    return refused(422, written.error().message, written.error().remedy);
}

}  // namespace gapwright
