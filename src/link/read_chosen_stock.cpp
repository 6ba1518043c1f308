// [choose]: where the values of resistors come from.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "card/part_kind.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"

namespace gapwright::reading {
namespace {

// IEC 60063: the series, and the tolerance that its parts usually have (common practice).
struct SeriesRow {
    std::string_view name;
    int values;
    double tolerance;
};
constexpr auto series_rows = std::to_array<SeriesRow>({{"E3", 3, 0.2},
                                                       {"E6", 6, 0.2},
                                                       {"E12", 12, 0.1},
                                                       {"E24", 24, 0.05},
                                                       {"E48", 48, 0.02},
                                                       {"E96", 96, 0.01},
                                                       {"E192", 192, 0.005}});

void read_series(Reading& reading, const TomlValue& value, ChosenStock& stock) {
    const auto row = std::ranges::find(series_rows, *value.text(), &SeriesRow::name);
    if (row == series_rows.end()) {
        std::vector<std::string> names;
        for (const auto& known : series_rows) names.emplace_back(known.name);
        reading.problem(Cause::unknown_name, value.place,
                        fmt::format("no series of preferred values is called \"{}\"{}",
                                    *value.text(), did_you_mean(*value.text(), names)),
                        "the series of IEC 60063 are E3, E6, E12, E24, E48, E96 and E192");
        return;
    }
    stock.series = row->values;
    stock.tolerance = row->tolerance;
}

}  // namespace

ChosenStock read_chosen_stock(Reading& reading) {
    ChosenStock stock;
    const auto* table = table_at(reading, reading.document.root, "choose");
    if (!table) return stock;
    refuse_unknown(
        reading, *table, "[choose]",
        {"gaps", "drawer", "series", "tolerance", "power", "indicator", "distance", "shroud"});
    if (const auto* path = text_at(reading, *table, "drawer")) {
        stock.drawer = ChosenText{.text = *path->text(), .place = path->place};
        for (const std::string_view key : {"series", "tolerance", "power"}) {
            if (const auto* entry = table->find(key)) {
                reading.problem(Cause::contradiction, entry->key_place,
                                fmt::format("values come from a drawer or from a series: {} says "
                                            "nothing beside drawer",
                                            key),
                                "leave one of them out");
            }
        }
        return stock;
    }
    if (const auto* series = text_at(reading, *table, "series")) {
        read_series(reading, *series, stock);
    }
    if (const auto t = spread_at(reading, *table, "tolerance", Dimension::ratio, Range::share)) {
        stock.tolerance = t->nominal;
    }
    if (const auto w = spread_at(reading, *table, "power", Dimension::power, Range::above_zero)) {
        stock.power = w->nominal;
    }
    return stock;
}

}  // namespace gapwright::reading
