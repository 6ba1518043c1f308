// The one file that knows the TOML library. It is compiled with NDEBUG and without one sanitizer
// check, see src/CMakeLists.txt.
#include "source/toml_document.hpp"

#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <sstream>

#include "source/utf8.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_bytes = 1U << 20U;
constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

// The end of the string literal that begins at `begin`: past its closing quotes.
std::size_t string_end(std::string_view text, std::size_t begin) {
    const char quote = text[begin];
    const bool triple = text.substr(begin, 3) == std::string(3, quote);
    std::size_t at = begin + (triple ? 3 : 1);
    while (at < text.size()) {
        if (quote == '"' && text[at] == '\\') {
            at += 2;
        } else if (text[at] != quote) {
            ++at;
        } else if (!triple) {
            return at + 1;
        } else if (text.substr(at, 3) == std::string(3, quote)) {
            at += 3;
            while (at < text.size() && text[at] == quote) ++at;  // quotes just before the end
            return at;
        } else {
            ++at;
        }
    }
    return text.size();
}

class Copier {
  public:
    explicit Copier(std::shared_ptr<const SourceText> text) : text_(std::move(text)) {}

    TomlTable table(const toml::table& source) const {
        TomlTable result;
        for (const auto& [key, node] : source) {
            Place key_place = place(key.source());
            // A quoted key's place ends with its quotes, a bare one's with its name.
            key_place.end = std::max(key_place.end, key_place.begin + 1);
            result.entries.push_back({std::string(key.str()), key_place, value(node)});
        }
        std::ranges::stable_sort(result.entries, {}, [](const TomlEntry& entry) {
            return entry.key_place.begin;
        });
        return result;
    }

  private:
    std::size_t offset(const toml::source_position& at) const {
        return text_->offset({at.line, at.column});
    }

    Place place(const toml::source_region& region) const {
        const std::size_t begin = offset(region.begin);
        return {text_, begin, std::max(begin, offset(region.end))};
    }

    TomlValue value(const toml::node& node) const {
        TomlValue result{.place = place(node.source()), .data = std::string()};
        if (const auto* text = node.as_string()) {
            result.data = text->get();
            result.place.end = string_end(text_->text(), result.place.begin);
        } else if (const auto* whole = node.as_integer()) {
            result.data = whole->get();
        } else if (const auto* number = node.as_floating_point()) {
            result.data = number->get();
        } else if (const auto* truth = node.as_boolean()) {
            result.data = truth->get();
        } else if (const auto* array = node.as_array()) {
            TomlArray items;
            for (const auto& item : *array) items.push_back(value(item));
            result.data = std::move(items);
        } else if (const auto* inner = node.as_table()) {
            result.data = table(*inner);
        } else {
            std::ostringstream written;
            node.visit([&](const auto& n) {
                if constexpr (requires { written << n.get(); }) written << n.get();
            });
            result.data = TomlDate{written.str()};
        }
        return result;
    }

    std::shared_ptr<const SourceText> text_;
};

Problems refused(Cause cause, const Place& place, std::string message, std::string remedy) {
    return {{.cause = cause,
             .place = place,
             .message = std::move(message),
             .remedy = std::move(remedy)}};
}

}  // namespace

const TomlEntry* TomlTable::find(std::string_view key) const {
    const auto found = std::ranges::find(entries, key, &TomlEntry::key);
    return found == entries.end() ? nullptr : &*found;
}

std::vector<std::string> TomlTable::keys() const {
    std::vector<std::string> names;
    for (const auto& entry : entries) names.push_back(entry.key);
    return names;
}

std::string_view TomlValue::type_name() const {
    struct Namer {
        std::string_view operator()(const std::string&) const { return "a text"; }
        std::string_view operator()(std::int64_t) const { return "a whole number"; }
        std::string_view operator()(double) const { return "a number"; }
        std::string_view operator()(bool) const { return "true or false"; }
        std::string_view operator()(const TomlDate&) const { return "a date or time"; }
        std::string_view operator()(const TomlArray&) const { return "a list"; }
        std::string_view operator()(const TomlTable&) const { return "a table"; }
    };
    return std::visit(Namer{}, data);
}

Place TomlValue::text_place(std::size_t from, std::size_t to) const {
    const auto* content = text();
    if (!content || !place.text || place.end < place.begin + 2) return place;
    const std::string_view written =
        place.text->text().substr(place.begin + 1, place.end - place.begin - 2);
    return written == *content ? place.part(1 + from, 1 + to) : place;
}

Place TomlDocument::start() const {
    const auto line = text->line(1);
    return {text, 0, std::max<std::size_t>(1, line.size())};
}

Expected<TomlDocument> read_toml(std::shared_ptr<const SourceText> text) {
    if (text->text().size() > most_bytes) {
        return std::unexpected(
            refused(Cause::oversized_file, {text, 0, 1},
                    fmt::format("the file holds {} KiB, more than the {} KiB that are read",
                                text->text().size() / 1024, most_bytes / 1024),
                    "split it, or remove what does not belong into it"));
    }
    if (const auto bad = first_invalid_utf8(text->text())) {
        return std::unexpected(refused(Cause::invalid_utf8, {text, *bad, *bad + 1},
                                       "this byte is not UTF-8",
                                       "save the file as UTF-8 text"));
    }
    const auto parsed = toml::parse(text->text(), text->name());
    if (!parsed) {
        const auto& error = parsed.error();
        const auto& region = error.source();
        const std::size_t size = text->text().size();
        const std::size_t begin =
            region.begin ? text->offset({region.begin.line, region.begin.column}) : 0;
        const std::size_t end =
            region.end ? text->offset({region.end.line, region.end.column}) : begin;
        return std::unexpected(
            refused(Cause::not_toml, {text, std::min(begin, size), std::max(begin, end)},
                    fmt::format("this is not TOML: {}", error.description()), ""));
    }
    return TomlDocument{text, Copier(text).table(parsed.table())};
}

}  // namespace gapwright
