// Where a need's file takes the paths of a circuit. A table can be written in many ways; each way
// has its form of insertion, and the one that fits is found by trying: the text is read again.
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/need.hpp"
#include "link/need_reading.hpp"
#include "source/source_text.hpp"
#include "source/text_edit.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

// The first byte of the line after the one that holds `offset`, or the text's end.
std::size_t next_line(std::string_view text, std::size_t offset) {
    const auto end = text.find('\n', offset);
    return end == std::string_view::npos ? text.size() : end + 1;
}

// A spot on a line of its own.
PathsSpot own_line(std::string_view text, std::size_t at, std::string before) {
    const bool open_line = at > 0 && text[at - 1] != '\n';
    return {.at = at, .before = (open_line ? "\n" : "") + std::move(before), .after = "\n"};
}

// Whether paths written at the spot belong to the side, and nothing else has moved.
bool fits(const TomlDocument& document, Side side, const PathsSpot& spot) {
    const std::string list = "[\n  \"supply > return\",\n]";
    const auto tried = read_toml(std::make_shared<const SourceText>(
        "", edited(document.text->text(),
                   {{spot.at, spot.at, spot.before + "paths = " + list + spot.after}})));
    if (!tried) return false;
    const auto* entry = tried->root.find(side_name(side));
    const auto* table = entry ? entry->value.table() : nullptr;
    const auto* paths = table ? table->find("paths") : nullptr;
    const auto* supply = table ? table->find("supply") : nullptr;
    if (!paths || !paths->value.array() || !supply) return false;
    const auto* inner = supply->value.table();
    const bool added = !document.root.find(side_name(side));
    return !(inner && inner->find("paths")) &&
           tried->root.entries.size() == document.root.entries.size() + (added ? 1U : 0U);
}

}  // namespace

std::optional<PathsSpot> find_paths_spot(const TomlDocument& document, Side side,
                                         const std::string& supply_line) {
    const std::string_view text = document.text->text();
    const std::string name(side_name(side));
    const std::string header = "\n[" + name + "]\n" + supply_line;
    std::vector<PathsSpot> spots;
    if (const auto* entry = document.root.find(name)) {
        const auto* table = entry->value.table();
        if (const auto* supply = table ? table->find("supply") : nullptr) {
            const Place& place = supply->value.place;
            const std::size_t below = next_line(text, place.end > 0 ? place.end - 1 : 0);
            spots.push_back(own_line(text, below, supply_line));
            spots.push_back({.at = place.end, .before = ", ", .after = ""});
            spots.push_back(own_line(text, below, name + "."));
        }
        spots.push_back(own_line(text, next_line(text, entry->key_place.end), supply_line));
    }
    spots.push_back(own_line(text, text.size(), header));
    for (auto& spot : spots) {
        if (fits(document, side, spot)) return spot;
    }
    return std::nullopt;
}

std::string toml_text(const TomlValue& value) {
    const auto joined = [](const auto& items, const auto& text_of) {
        std::vector<std::string> texts;
        for (const auto& item : items) texts.push_back(text_of(item));
        return fmt::format("{}", fmt::join(texts, ", "));
    };
    if (const auto* table = value.table()) {
        return "{ " +
               joined(table->entries,
                      [](const TomlEntry& entry) {
                          return entry.key + " = " + toml_text(entry.value);
                      }) +
               " }";
    }
    if (const auto* list = value.array()) return "[" + joined(*list, toml_text) + "]";
    const Place& place = value.place;
    return std::string(place.text->text().substr(place.begin, place.end - place.begin));
}

}  // namespace gapwright::reading
