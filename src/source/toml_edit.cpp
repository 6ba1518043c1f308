#include "source/toml_edit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include "source/text_edit.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

using Edited = std::expected<TextEdit, std::string>;

Edited refused(std::string words) {
    return std::unexpected(std::move(words));
}

std::string_view text_of(const TomlDocument& document) {
    return document.text->text();
}

bool in_braces(const TomlDocument& document, const TomlValue& table) {
    return text_of(document)[table.place.begin] == '{';
}

std::size_t line_begin(std::string_view text, std::size_t at) {
    const std::size_t before = at == 0 ? std::string_view::npos : text.rfind('\n', at - 1);
    return before == std::string_view::npos ? 0 : before + 1;
}

// Before the line's LF or CR LF.
std::size_t line_end(std::string_view text, std::size_t at) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    return end > at && end < text.size() && text[end - 1] == '\r' ? end - 1 : end;
}

std::size_t next_line(std::string_view text, std::size_t at) {
    const std::size_t end = text.find('\n', at);
    return end == std::string_view::npos ? text.size() : end + 1;
}

// Whether a table or list of tables has headers of its own, so that keys of the table around it
// cannot follow it.
bool has_header(const TomlDocument& document, const TomlEntry& entry) {
    const std::string_view text = text_of(document);
    const std::size_t begin =
        text.find_first_not_of(" \t", line_begin(text, entry.key_place.begin));
    return begin < text.size() && text[begin] == '[';
}

// The end of the last value in a table, those of tables within it included.
std::size_t content_end(const TomlTable& table, std::size_t otherwise) {
    std::size_t end = otherwise;
    for (const TomlEntry& entry : table.entries) {
        end = std::max(end, entry.key_place.end);
        if (const auto* inner = entry.value.table()) {
            end = std::max(end, content_end(*inner, entry.value.place.end));
        } else if (const auto* list = entry.value.array()) {
            end = std::max(end, entry.value.place.end);
            for (const TomlValue& item : *list) {
                const auto* of_list = item.table();
                end =
                    std::max(end, of_list ? content_end(*of_list, item.place.end) : item.place.end);
            }
        } else {
            end = std::max(end, entry.value.place.end);
        }
    }
    return end;
}

// The last key that stands in the table itself.
const TomlEntry* last_own_key(const TomlDocument& document, const TomlTable& table) {
    const TomlEntry* last = nullptr;
    for (const TomlEntry& entry : table.entries) {
        if (!has_header(document, entry)) last = &entry;
    }
    return last;
}

std::string line_of(const std::string& key, const std::string& toml) {
    return toml_key(key) + " = " + toml;
}

TextEdit insertion(std::size_t at, std::string text) {
    return {at, at, std::move(text)};
}

// At the end of a text, one line free before it.
TextEdit at_the_end(const TomlDocument& document, const std::string& lines) {
    const std::string_view text = text_of(document);
    const bool ended = text.empty() || text.ends_with('\n');
    const bool free = text.empty() || text.ends_with("\n\n") || text.ends_with("\n\r\n");
    return insertion(text.size(), (ended ? "" : "\n") + std::string(free ? "" : "\n") + lines);
}

TextEdit key_between_braces(const TomlValue& around, const TomlTable& table,
                            const std::string& line) {
    if (table.entries.empty()) return insertion(around.place.begin + 1, " " + line + " ");
    return insertion(table.entries.back().value.place.end, ", " + line);
}

TextEdit key_on_its_line(const TomlDocument& document, const TomlTable& table, std::size_t header,
                         const std::string& line) {
    const std::string_view text = text_of(document);
    const TomlEntry* last = last_own_key(document, table);
    if (last == nullptr) return insertion(line_end(text, header), "\n" + line);
    // Its indent, and "R1." of R1.value.
    const std::size_t begin = line_begin(text, last->key_place.begin);
    const std::string before(text.substr(begin, last->key_place.begin - begin));
    const std::size_t end = content_end({.entries = {*last}}, last->value.place.end);
    return insertion(line_end(text, end), "\n" + before + line);
}

TextEdit key_of_root(const TomlDocument& document, const std::string& line) {
    const std::string_view text = text_of(document);
    if (const TomlEntry* last = last_own_key(document, document.root)) {
        return insertion(line_end(text, content_end({.entries = {*last}}, 0)), "\n" + line);
    }
    return insertion(document.text->offset({.line = 1, .column = 1}), line + "\n");
}

Edited add_key(const TomlDocument& document, const TomlPath& path, const std::string& toml) {
    const auto* key = std::get_if<std::string>(&path.back());
    if (key == nullptr) return refused("a list is changed as a whole");
    const std::string line = line_of(*key, toml);
    if (path.size() == 1) return key_of_root(document, line);
    const std::span<const TomlStep> around(path.data(), path.size() - 1);
    const TomlValue* value = value_at(document.root, around);
    if (value == nullptr) {
        const auto* table = std::get_if<std::string>(&path.front());
        if (path.size() != 2 || table == nullptr) return refused("there is no such table");
        return at_the_end(document, fmt::format("[{}]\n{}\n", toml_key(*table), line));
    }
    const TomlTable* table = value->table();
    if (table == nullptr) return refused("what stands around it is no table");
    if (in_braces(document, *value)) return key_between_braces(*value, *table, line);
    return key_on_its_line(document, *table, value->place.begin, line);
}

TextEdit without_braced_key(const TomlTable& table, std::size_t index) {
    const auto& entries = table.entries;
    const std::size_t begin = entries[index].key_place.begin;
    if (index + 1 < entries.size()) return {begin, entries[index + 1].key_place.begin, ""};
    const std::size_t end = entries[index].value.place.end;
    return {index == 0 ? begin : entries[index - 1].value.place.end, end, ""};
}

}  // namespace

const TomlValue* value_at(const TomlTable& root, std::span<const TomlStep> path) {
    const TomlTable* table = &root;
    const TomlValue* value = nullptr;
    for (const TomlStep& step : path) {
        if (const auto* key = std::get_if<std::string>(&step)) {
            if (value != nullptr) table = value->table();
            const TomlEntry* entry = table ? table->find(*key) : nullptr;
            if (entry == nullptr) return nullptr;
            value = &entry->value;
        } else {
            const TomlArray* list = value ? value->array() : nullptr;
            const std::size_t index = std::get<std::size_t>(step);
            if (list == nullptr || index >= list->size()) return nullptr;
            value = &(*list)[index];
        }
    }
    return value;
}

std::string toml_key(const std::string& key) {
    const bool bare = !key.empty() && std::ranges::all_of(key, [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
               c == '-' || c == '_';
    });
    return bare ? key : toml_string(key);
}

std::string toml_string(std::string_view text) {
    std::string result = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') {
            result += '\\';
            result += c;
        } else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
            result += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
        } else {
            result += c;
        }
    }
    return result + '"';
}

std::expected<TextEdit, std::string> set_value(const TomlDocument& document, const TomlPath& path,
                                               const std::string& toml) {
    if (path.empty()) return refused("an edit needs to say what it changes");
    const TomlValue* old = value_at(document.root, path);
    if (old == nullptr) return add_key(document, path, toml);
    const bool whole_table = old->table() != nullptr && !in_braces(document, *old);
    const TomlArray* list = old->array();
    const bool tables = list != nullptr && text_of(document)[old->place.begin] == '[' &&
                        text_of(document).substr(old->place.begin, 2) == "[[" && !list->empty() &&
                        list->front().table() != nullptr;
    if (whole_table || tables) return refused("a whole table is changed key by key");
    return replacement_at(old->place, toml);
}

std::expected<TextEdit, std::string> remove_value(const TomlDocument& document,
                                                  const TomlPath& path) {
    const TomlValue* value = value_at(document.root, path);
    if (path.empty() || value == nullptr) return refused("there is nothing to take out");
    const std::string_view text = text_of(document);
    if (const auto* key = std::get_if<std::string>(&path.back())) {
        const std::span<const TomlStep> around(path.data(), path.size() - 1);
        const TomlValue* outer = value_at(document.root, around);
        const TomlTable* table = outer ? outer->table() : &document.root;
        const auto entry = std::ranges::find(table->entries, *key, &TomlEntry::key);
        if (outer != nullptr && in_braces(document, *outer)) {
            return without_braced_key(*table,
                                      static_cast<std::size_t>(entry - table->entries.begin()));
        }
        if (has_header(document, *entry)) return refused("a whole table is changed key by key");
        return TextEdit{line_begin(text, entry->key_place.begin), next_line(text, value->place.end),
                        ""};
    }
    const TomlTable* table = value->table();
    if (table == nullptr || text[value->place.begin] != '[') {
        return refused("a list is changed as a whole");
    }
    std::size_t begin = line_begin(text, value->place.begin);
    std::size_t end = next_line(text, content_end(*table, value->place.begin));
    // The free line that set it apart goes with it: that behind it or, at the end, that before it.
    const std::size_t behind = next_line(text, end);
    const std::size_t before = begin == 0 ? 0 : line_begin(text, begin - 1);
    if (end < text.size() && line_end(text, end) == end) {
        end = behind;
    } else if (end == text.size() && begin > 0 && line_end(text, before) == before) {
        begin = before;
    }
    return TextEdit{begin, end, ""};
}

std::expected<TextEdit, std::string> append_table(const TomlDocument& document,
                                                  const std::string& name, const TomlKeys& keys) {
    std::string lines = fmt::format("[[{}]]\n", toml_key(name));
    for (const auto& [key, toml] : keys) lines += line_of(key, toml) + "\n";
    const TomlEntry* entry = document.root.find(name);
    if (entry == nullptr) return at_the_end(document, lines);
    const TomlArray* list = entry->value.array();
    const bool tables = list != nullptr && !list->empty() && list->back().table() != nullptr &&
                        text_of(document)[list->back().place.begin] == '[';
    if (!tables) return refused(name + " is no list of tables here");
    const TomlValue& last = list->back();
    const std::size_t end =
        line_end(text_of(document), content_end(*last.table(), last.place.begin));
    lines.pop_back();
    return insertion(end, "\n\n" + lines);
}

}  // namespace gapwright
