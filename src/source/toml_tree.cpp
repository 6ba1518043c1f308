// The part of toml_document.hpp that looks things up in a document once it is read.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

template <class... Kinds>
struct Overloaded : Kinds... {
    using Kinds::operator()...;
};
template <class... Kinds>
Overloaded(Kinds...) -> Overloaded<Kinds...>;

}  // namespace

const TomlEntry* TomlTable::find(std::string_view key) const {
    const auto entry = std::ranges::find(entries, key, &TomlEntry::key);
    return entry == entries.end() ? nullptr : &*entry;
}

std::vector<std::string> TomlTable::keys() const {
    std::vector<std::string> names;
    names.reserve(entries.size());
    for (const TomlEntry& entry : entries) names.push_back(entry.key);
    return names;
}

std::string_view TomlValue::type_name() const {
    return std::visit(
        Overloaded{[](const std::string&) -> std::string_view { return "a text"; },
                   [](const std::int64_t&) -> std::string_view { return "a whole number"; },
                   [](const double&) -> std::string_view { return "a number"; },
                   [](const bool&) -> std::string_view { return "true or false"; },
                   [](const TomlDate&) -> std::string_view { return "a date or time"; },
                   [](const TomlArray&) -> std::string_view { return "a list"; },
                   [](const TomlTable&) -> std::string_view { return "a table"; }},
        data);
}

Place TomlValue::text_place(std::size_t from, std::size_t to) const {
    const std::string* content = text();
    if (content == nullptr || !place.text || place.end < place.begin) return place;
    const std::string_view written =
        place.text->text().substr(place.begin, place.end - place.begin);
    const std::string_view opening = written.substr(0, 3);
    const bool triple = written.size() >= 6 && (opening == "\"\"\"" || opening == "'''");
    const std::size_t quotes = triple ? 3 : 1;
    if (written.size() < content->size() + 2 * quotes) return place;
    // Without escapes the content stands there byte by byte, behind the quotes and, after three of
    // them, a line end that does not count.
    const std::size_t start = written.size() - quotes - content->size();
    const std::string_view line_end = written.substr(quotes, start - quotes);
    const bool plain = line_end.empty() || (triple && (line_end == "\n" || line_end == "\r\n"));
    if (!plain || written.substr(start, content->size()) != *content) return place;
    return place.part(start + std::min(from, content->size()),
                      start + std::min(to, content->size()));
}

}  // namespace gapwright
