// [choose]: where the values of resistors come from.
#include <fmt/format.h>

#include <array>

#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

using K = ChooseKey;

// IEC 60063: the series, in the order of the key's words, and the tolerance that its parts usually
// have (common practice).
struct SeriesRow {
    int values;
    double tolerance;
};
constexpr auto series_rows = std::to_array<SeriesRow>(
    {{3, 0.2}, {6, 0.2}, {12, 0.1}, {24, 0.05}, {48, 0.02}, {96, 0.01}, {192, 0.005}});

void read_series(Reading& reading, const TomlValue& value, ChosenStock& stock) {
    const FileKey& key = row_of(K::series);
    const auto found = word_in(key, *value.text());
    if (!found) {
        reading.problem(
            Cause::unknown_name, value.place,
            fmt::format("no series of preferred values is called \"{}\"{}", *value.text(),
                        did_you_mean(*value.text(), split_words(key.takes.words))),
            "the series of IEC 60063 are E3, E6, E12, E24, E48, E96 and E192");
        return;
    }
    stock.series = series_rows.at(*found).values;
    stock.tolerance = series_rows.at(*found).tolerance;
}

}  // namespace

ChosenStock read_chosen_stock(Reading& reading) {
    ChosenStock stock;
    const auto table = stated<K>(reading);
    if (!table) return stock;
    if (const auto* path = text_at(reading, *table, K::drawer)) {
        stock.drawer = ChosenText{.text = *path->text(), .place = path->place};
        for (const K key : {K::series, K::tolerance, K::power}) {
            if (const auto* entry = table->find(key)) {
                reading.problem(Cause::contradiction, entry->key_place,
                                fmt::format("values come from a drawer or from a series: {} says "
                                            "nothing beside drawer",
                                            name_of(key)),
                                "leave one of them out");
            }
        }
        return stock;
    }
    if (const auto* series = text_at(reading, *table, K::series)) {
        read_series(reading, *series, stock);
    }
    if (const auto t = spread_at(reading, *table, K::tolerance)) {
        stock.tolerance = t->nominal;
    }
    if (const auto w = spread_at(reading, *table, K::power)) {
        stock.power = w->nominal;
    }
    return stock;
}

}  // namespace gapwright::reading
