// [parts]: what stands in the paths.
#include <fmt/format.h>

#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "card/trade_words.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

// A kind that stands on cards alone, where a part is declared.
void refuse_card_only(Reading& reading, Kind kind, const Place& place) {
    const std::string_view name = kind_rule(kind).name;
    reading.problem(
        Cause::contradiction, place,
        fmt::format("{} stands only inside a {}", name, kind == Kind::battery ? "supply" : "pair"),
        kind_remedy(name, KindPlace::part));
}

bool refuse_card_only(Reading& reading, const TomlTable& part) {
    const auto* entry = part.find("kind");
    const auto* word = entry ? entry->value.text() : nullptr;
    const auto kind = word ? kind_named(*word) : std::nullopt;
    if (!kind || !kind_rule(kind->kind).card_only) return false;
    refuse_card_only(reading, kind->kind, entry->value.place);
    return true;
}

// A part that could not be read still has its name, or every path that holds it would be reported
// as well.
void keep_unreadable(Reading& reading, const TomlEntry& entry) {
    reading.link.parts.push_back({.name = entry.key,
                                  .place = entry.key_place,
                                  .description = {},
                                  .readable = false,
                                  .input = {},
                                  .output = {}});
}

}  // namespace

void read_parts(Reading& reading) {
    const auto* table = table_at(reading, name_of(RootKey::parts));
    if (!table) {
        reading.problem(Cause::missing_key, reading.document.start(), "the link has no [parts]",
                        "declare each part below [parts], for example R1 = { kind = "
                        "\"resistor\", value = \"330 Ω\" }");
        return;
    }
    if (table->entries.size() > most_parts) {
        reading.problem(Cause::too_large, table->entries[most_parts].key_place,
                        fmt::format("the link has {} parts, more than the {} it may have",
                                    table->entries.size(), most_parts),
                        "split it into several links");
        return;
    }
    for (const auto& entry : table->entries) {
        if (entry.key == "supply" || entry.key == "return" ||
            entry.key.find_first_of(" \t\r\n>") != std::string::npos) {
            reading.problem(Cause::contradiction, entry.key_place,
                            fmt::format("a part cannot be called \"{}\"", entry.key),
                            "supply and return are nodes of each side, and a name holds no space "
                            "and no >");
            continue;
        }
        const auto* part = entry.value.table();
        if (!part) {
            reading.problem(
                Cause::wrong_type, entry.value.place,
                fmt::format("part {} is a table, found {}", entry.key, entry.value.type_name()),
                fmt::format("write for example {} = {{ kind = \"resistor\", value = "
                            "\"330 Ω\" }}",
                            entry.key));
            continue;
        }
        if (refuse_card_only(reading, *part)) {
            keep_unreadable(reading, entry);
            continue;
        }
        auto description =
            read_description(*part, entry.key_place, {}, reading.shelf, reading.problems);
        if (!description) {
            keep_unreadable(reading, entry);
            continue;
        }
        if (kind_rule(description->kind).card_only) {
            refuse_card_only(reading, description->kind, entry.key_place);
        }
        reading.link.parts.push_back({.name = entry.key,
                                      .place = entry.key_place,
                                      .description = std::move(*description),
                                      .readable = true,
                                      .input = {},
                                      .output = {}});
    }
}

}  // namespace gapwright::reading
