#include "source/toml_document.hpp"
#include <cstddef>
#include <expected>
#include <memory>
#include <string>
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

#define TOML_EXCEPTIONS 0
#define TOML_MAX_NESTED_VALUES 64
#include <toml++/impl/forward_declarations.h>
// Release 3.3.0 tells the compiler that no letter from U+00A1 to U+0499 ever comes (µ, °, ± and Ω
// among them) where it asks whether a character is a space; the answer there is no.
#pragma push_macro("TOML_UNREACHABLE")
#undef TOML_UNREACHABLE
#define TOML_UNREACHABLE return false
#include <toml++/impl/unicode.h>
#pragma pop_macro("TOML_UNREACHABLE")
// Its assertions, which some invalid files do not meet, are not to be taken for granted either.
#undef TOML_ASSUME
#define TOML_ASSUME(...) static_assert(true)
#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <utility>

#include "source/text_check.hpp"
#include "source/toml_check.hpp"

namespace gapwright {
namespace {

// Copies the library's tree into ours, its lines and columns into byte offsets.
class Copier {
  public:
    explicit Copier(const std::shared_ptr<const SourceText>& text) : text_(text) {}

    std::size_t offset(const toml::source_position& position) const {
        return text_->offset({.line = position.line, .column = position.column});
    }

    TomlTable table(const toml::table& source) const {
        TomlTable copy;
        copy.entries.reserve(source.size());
        for (const auto& [key, node] : source) {
            copy.entries.push_back({.key = std::string(key.str()),
                                    .key_place = place(key.source()),
                                    .value = value(node)});
        }
        // The library sorts by name.
        std::ranges::stable_sort(copy.entries, {},
                                 [](const TomlEntry& entry) { return entry.key_place.begin; });
        return copy;
    }

  private:
    Place place(const toml::source_region& region) const {
        const std::size_t begin = offset(region.begin);
        return {.text = text_, .begin = begin, .end = std::max(begin, offset(region.end))};
    }

    TomlArray array(const toml::array& source) const {
        TomlArray copy;
        copy.reserve(source.size());
        for (const toml::node& node : source) copy.push_back(value(node));
        return copy;
    }

    TomlValue value(const toml::node& node) const {
        TomlValue copy{.place = place(node.source()), .data = false};
        if (const auto* text = node.as_string()) copy.data = text->get();
        if (const auto* whole = node.as_integer()) copy.data = whole->get();
        if (const auto* number = node.as_floating_point()) copy.data = number->get();
        if (const auto* truth = node.as_boolean()) copy.data = truth->get();
        if (node.is_date() || node.is_time() || node.is_date_time()) {
            const Place& at = copy.place;
            copy.data = TomlDate{std::string(text_->text().substr(at.begin, at.end - at.begin))};
        }
        if (const toml::table* table_node = node.as_table()) copy.data = table(*table_node);
        if (const toml::array* array_node = node.as_array()) {
            copy.data = array(*array_node);
            // Of several [[name]] the first; the library says "up to the end of the last".
            const toml::table* first =
                array_node->empty() ? nullptr : array_node->front().as_table();
            if (first != nullptr && !first->is_inline()) copy.place = place(first->source());
        }
        return copy;
    }

    std::shared_ptr<const SourceText> text_;
};

// "Error while parsing string: encountered end-of-file" in our words; `found` is the character at
// which reading stopped.
std::string in_our_words(std::string_view description, char found) {
    constexpr std::string_view opening = "Error while parsing ";
    constexpr std::string_view own_setting = " (TOML_MAX_NESTED_VALUES)";
    if (description.starts_with(opening)) description.remove_prefix(opening.size());
    if (description.ends_with(own_setting)) description.remove_suffix(own_setting.size());
    const std::size_t colon = description.find(": ");
    if (colon == std::string_view::npos) return std::string(description);
    const std::string_view scope = description.substr(0, colon);
    const std::string_view reason = description.substr(colon + 2);
    const bool line_end = found == '\n' || found == '\r';
    if (scope.ends_with("string") && line_end) return "a text is not closed before its line ends";
    const bool vowel = std::string_view("aeiou").find(scope[0]) != std::string_view::npos;
    const std::string what = fmt::format("{} {}", vowel ? "an" : "a", scope);
    if (reason == "encountered end-of-file") return fmt::format("the file ends within {}", what);
    if (scope == "root table") return std::string(reason);
    return fmt::format("{} (in {})", reason, what);
}

// Many write `value = 330 Ω`.
std::string remedy_for(std::string_view description) {
    const bool lacks_quotes = description.find("expected a comment or") != std::string_view::npos ||
                              description.find("value type") != std::string_view::npos ||
                              description.find("expected digit") != std::string_view::npos ||
                              description.find("expected 'true'") != std::string_view::npos ||
                              description.find("expected 'false'") != std::string_view::npos;
    return lacks_quotes ? "texts, and numbers with a unit, stand in quotes: \"330 Ω\"" : "";
}

// The table that lines at the end of a document belong to: the one whose [header] comes last.
const TomlTable* last_table(const TomlTable& root) {
    const TomlTable* last = &root;
    std::size_t last_begin = 0;
    const auto visit = [&](const auto& self, const TomlTable& table) -> void {
        const auto consider = [&](const TomlValue& value) {
            const TomlTable* inner = value.table();
            if (inner == nullptr) return;
            const Place& at = value.place;
            if (at.text->text()[at.begin] == '[' && at.begin >= last_begin) {
                last = inner;
                last_begin = at.begin;
            }
            self(self, *inner);
        };
        for (const TomlEntry& entry : table.entries) {
            consider(entry.value);
            if (const TomlArray* items = entry.value.array()) {
                std::ranges::for_each(*items, consider);
            }
        }
    };
    visit(visit, root);
    return last;
}

// A second definition of one name: the place of its key, and as the other place the first
// definition. Found by reading what precedes the line, and the line by itself; where one of them
// cannot be read alone, as within a list of several lines, the diagnostic stays as it is.
void tell_both_places(Diagnostic& diagnostic) {
    const std::shared_ptr<const SourceText> text = diagnostic.place.text;
    const std::size_t number = text->line_column(diagnostic.place.begin).line;
    const std::size_t line_begin = text->offset({.line = number, .column = 1});
    const std::string_view written = text->line(number);
    const toml::parse_result before = toml::parse(text->text().substr(0, line_begin));
    const toml::parse_result alone = toml::parse(written);
    if (!before || !alone) return;
    const TomlTable earlier = Copier(text).table(before.table());
    const auto line = std::make_shared<const SourceText>("", std::string(written));
    const TomlTable later = Copier(line).table(alone.table());

    const bool header = written.substr(0, written.find_first_not_of(" \t") + 1).ends_with('[');
    const TomlTable* first = header ? &earlier : last_table(earlier);
    const TomlTable* second = &later;
    while (first != nullptr && second != nullptr && !second->entries.empty()) {
        const TomlEntry& again = second->entries.front();
        const TomlEntry* defined = first->find(again.key);
        if (defined == nullptr) return;
        diagnostic.place.begin = line_begin + again.key_place.begin;
        diagnostic.place.end = line_begin + again.key_place.end;
        diagnostic.other = defined->key_place;
        diagnostic.other_message = fmt::format("\"{}\" is defined here first", again.key);
        first = defined->value.table();
        second = again.value.table();
    }
}

Problems not_toml(const std::shared_ptr<const SourceText>& text, const toml::parse_error& error) {
    const std::size_t begin = Copier(text).offset(error.source().begin);
    const char found = begin < text->text().size() ? text->text()[begin] : '\0';
    Diagnostic diagnostic{.cause = Cause::not_toml,
                          .place = {.text = text, .begin = begin, .end = begin},
                          .message = in_our_words(error.description(), found),
                          .remedy = remedy_for(error.description())};
    if (diagnostic.message.starts_with("cannot redefine")) tell_both_places(diagnostic);
    return {diagnostic};
}

}  // namespace

Place TomlDocument::start() const {
    const std::size_t begin = text->offset({.line = 1, .column = 1});
    const std::size_t end = begin + text->line(1).size();
    return {.text = text, .begin = begin, .end = end};
}

Expected<TomlDocument> read_toml(std::shared_ptr<const SourceText> text) {
    if (auto trouble = find_unreadable(text)) return std::unexpected(only(*std::move(trouble)));
    if (auto trouble = find_deep_key(text)) {
        return std::unexpected(only(*std::move(trouble)));
    }
    const toml::parse_result result = toml::parse(text->text());
    if (!result) return std::unexpected(not_toml(text, result.error()));
    TomlTable root = Copier(text).table(result.table());
    return TomlDocument{.text = std::move(text), .root = std::move(root)};
}

}  // namespace gapwright
