// Names in the paths that are nodes by the grammar, and can only be meant as parts.
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string_view>

#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/path_words.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

// Whether a text somewhere in a table is that name; lists of texts are looked through.
bool holds_text(const TomlValue& value, std::string_view name) {
    if (const auto* text = value.text()) return *text == name;
    if (const auto* list = value.array()) {
        return std::ranges::any_of(*list, [&](const auto& v) { return holds_text(v, name); });
    }
    const auto* table = value.table();
    return table && std::ranges::any_of(table->entries, [&](const auto& entry) {
               return holds_text(entry.value, name);
           });
}

std::size_t times_in_paths(const Link& link, std::string_view name) {
    std::size_t times = 0;
    for (const Side side : {Side::input, Side::output}) {
        for (const auto& path : link.side(side).paths) {
            times += static_cast<std::size_t>(std::ranges::count(path, name, &PathItem::name));
        }
    }
    return times;
}

}  // namespace

// A node between two parts that nothing else speaks of is a piece of wire: where it is called as
// parts are, "R7", the part was forgotten.
void check_names(Reading& reading) {
    for (const Side which : {Side::input, Side::output}) {
        for (const auto& path : reading.link.side(which).paths) {
            for (std::size_t k = 1; k + 1 < path.size(); ++k) {
                const PathItem& item = path[k];
                if (item.part || !path[k - 1].part || !path[k + 1].part) continue;
                if (!is_called_like_a_part(item.name)) continue;
                if (times_in_paths(reading.link, item.name) > 1) continue;
                const auto& entries = reading.document.root.entries;
                if (std::ranges::any_of(entries, [&](const auto& entry) {
                        return holds_text(entry.value, item.name);
                    })) {
                    continue;
                }
                reading.problem(Cause::unknown_name, item.place,
                                fmt::format("no part is called \"{}\"", item.name),
                                remedy_for_name(item.name));
            }
        }
    }
}

}  // namespace gapwright::reading
