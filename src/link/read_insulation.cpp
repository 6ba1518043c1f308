// [insulation]: grade, mains, overvoltage category, pollution degree and material group.
#include <fmt/ranges.h>

#include <algorithm>
#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "card/part_kind.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"

namespace gapwright::reading {
namespace {

// The highest mains of IEC 60664-1, line to neutral, V r.m.s.
constexpr double highest_mains = 1000;

// Sets `result` to the place among `words` of the text under `key`; leaves it where there is none.
template <class Result>
void read_word(Reading& reading, const TomlTable& table, std::string_view key,
               std::string_view what, const std::vector<std::string>& words, Result& result,
               int first = 0) {
    const auto* value = text_at(reading, table, key);
    if (!value) return;
    const auto found = std::ranges::find(words, *value->text());
    if (found == words.end()) {
        reading.problem(Cause::unknown_name, value->place,
                        fmt::format("{} is one of {}, not \"{}\"{}", what, fmt::join(words, ", "),
                                    *value->text(), did_you_mean(*value->text(), words)),
                        fmt::format("write for example {} = \"{}\"", key, words[1]));
        return;
    }
    result = static_cast<Result>(first + (found - words.begin()));
}

void read_mains(Reading& reading, const TomlTable& table, Insulation& insulation) {
    const auto mains = spread_at(reading, table, "mains", Dimension::voltage, Range::above_zero);
    if (!mains) return;
    if (mains->nominal > highest_mains) {
        reading.problem(Cause::out_of_range, table.find("mains")->value.place,
                        "IEC 60664-1 is about mains of up to 1000 V, line to neutral",
                        "write the r.m.s. voltage from line to neutral, for example \"230 V\"");
        return;
    }
    insulation.mains = mains->nominal;
}

void read_pollution(Reading& reading, const TomlTable& table, Insulation& insulation) {
    const auto* entry = table.find("pollution_degree");
    if (!entry) return;
    const auto* degree = std::get_if<std::int64_t>(&entry->value.data);
    if (!degree) {
        reading.problem(
            Cause::wrong_type, entry->value.place,
            fmt::format("a pollution degree is a whole number, found {}", entry->value.type_name()),
            "write for example pollution_degree = 2");
    } else if (*degree < 1 || *degree > 3) {
        reading.problem(Cause::out_of_range, entry->value.place,
                        "a pollution degree is 1, 2 or 3 here",
                        "1 is sealed and dry, 2 a room, 3 a workshop or a damp place; the tables "
                        "give no creepage distances for 4");
    } else {
        insulation.pollution_degree = static_cast<int>(*degree);
    }
}

}  // namespace

void read_insulation(Reading& reading) {
    const auto* table = table_at(reading, reading.document.root, "insulation");
    if (!table) return;
    const auto faults = reading.problems.size();
    refuse_unknown(
        reading, *table, "[insulation]",
        {"grade", "mains", "overvoltage_category", "pollution_degree", "material_group"});
    Insulation insulation;
    insulation.place = reading.document.root.find("insulation")->key_place;
    read_word(reading, *table, "grade", "a grade of insulation",
              {"functional", "basic", "reinforced"}, insulation.grade);
    read_mains(reading, *table, insulation);
    read_word(reading, *table, "overvoltage_category", "an overvoltage category",
              {"I", "II", "III", "IV"}, insulation.overvoltage_category, 1);
    read_pollution(reading, *table, insulation);
    read_word(reading, *table, "material_group", "a material group", {"I", "II", "IIIa", "IIIb"},
              insulation.group);
    if (reading.problems.size() == faults) reading.link.insulation = insulation;
}

}  // namespace gapwright::reading
