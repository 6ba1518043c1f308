#include "page/typed_toml.hpp"

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <string>
#include <system_error>

#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "page/offers.hpp"
#include "page/typed_value.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {
namespace {

bool is_number(const std::string& text) {
    double value = 0;
    const char* end = text.data() + text.size();
    const auto read = std::from_chars(text.data(), end, value);
    return read.ec == std::errc() && read.ptr == end;
}

// Whether what is typed are several names, with commas between them.
bool are_names(const FileKey* key, const std::string& typed) {
    if (key == nullptr) return false;
    const auto what = key->takes.what;
    return what == Takes::What::names || what == Takes::What::two_names ||
           (what == Takes::What::name_or_two && typed.find(',') != std::string::npos);
}

std::string names_as_toml(const std::string& typed) {
    std::string list;
    for (std::size_t at = 0; at <= typed.size();) {
        const std::size_t end = std::min(typed.find(',', at), typed.size());
        const std::size_t first = typed.find_first_not_of(" \t", at);
        if (first < end) {
            const std::size_t last = typed.find_last_not_of(" \t", end - 1);
            list += list.empty() ? "" : ", ";
            list += toml_string(typed.substr(first, last - first + 1));
        }
        at = end + 1;
    }
    return "[" + list + "]";
}

char first_letter(const std::string& text) {
    const std::size_t first = text.find_first_not_of(" \t");
    return first == std::string::npos ? '\0' : text[first];
}

std::string card_toml_of(const TomlDocument& card, const TomlPath& path, const std::string& typed,
                         const std::string& folder) {
    const KeyRule* rule = card_key_at(card.root, path, folder);
    const bool table = rule != nullptr && rule->form == Form::description;
    if (table && first_letter(typed) == '{') return typed;
    const TomlValue* old = value_at(card.root, path);
    if (old != nullptr && old->text() == nullptr && is_number(typed)) return typed;
    return toml_string(typed);
}

std::string link_toml_of(const TomlDocument& document, const TomlPath& path,
                         const std::string& typed) {
    if (const auto offer = offered_value(path, typed)) return *offer;
    const TomlValue* old = value_at(document.root, path);
    const char opening = first_letter(typed);
    if (opening == '[' || opening == '{') return typed;
    const FileKey* key = file_key_at(path);
    if (are_names(key, typed)) return names_as_toml(typed);
    const bool whole = key != nullptr && key->takes.what == Takes::What::whole;
    const bool was_text = old == nullptr ? !whole : old->text() != nullptr;
    const bool truth = typed == "true" || typed == "false";
    if (!was_text && (is_number(typed) || truth)) return typed;
    return toml_string(typed);
}

}  // namespace

std::string typed_toml(const TomlDocument& document, const TomlPath& path, const std::string& typed,
                       const FileContext& file) {
    switch (file.sort) {
        case FileSort::link:
            return link_toml_of(document, path, typed);
        case FileSort::card:
            return card_toml_of(document, path, typed, file.folder);
    }
    return toml_string(typed);
}

}  // namespace gapwright
