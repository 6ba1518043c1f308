// [insulation]: grade, mains, overvoltage category, pollution degree and material group.
#include <fmt/ranges.h>

#include <cstdint>
#include <string_view>
#include <variant>

#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

// The highest mains of IEC 60664-1, line to neutral, V r.m.s.
constexpr double highest_mains = 1000;

using K = InsulationKey;

// Sets `result` to the place of the text under `key` among its words; leaves it where there is
// none.
template <class Result>
void read_word(Reading& reading, const Stated<K>& table, K key, std::string_view what,
               Result& result, int first = 0) {
    const auto* value = text_at(reading, table, key);
    if (!value) return;
    const auto found = word_in(row_of(key), *value->text());
    if (!found) {
        const auto words = split_words(row_of(key).takes.words);
        reading.problem(Cause::unknown_name, value->place,
                        fmt::format("{} is one of {}, not \"{}\"{}", what, fmt::join(words, ", "),
                                    *value->text(), did_you_mean(*value->text(), words)),
                        fmt::format("write for example {} = \"{}\"", name_of(key), words[1]));
        return;
    }
    result = static_cast<Result>(first + static_cast<int>(*found));
}

void read_mains(Reading& reading, const Stated<K>& table, Insulation& insulation) {
    const auto mains = spread_at(reading, table, K::mains);
    if (!mains) return;
    if (mains->nominal > highest_mains) {
        reading.problem(Cause::out_of_range, table.find(K::mains)->value.place,
                        "IEC 60664-1 is about mains of up to 1000 V, line to neutral",
                        "write the r.m.s. voltage from line to neutral, for example \"230 V\"");
        return;
    }
    insulation.mains = mains->nominal;
}

void read_pollution(Reading& reading, const Stated<K>& table, Insulation& insulation) {
    const auto* entry = table.find(K::pollution_degree);
    if (!entry) return;
    const auto* degree = std::get_if<std::int64_t>(&entry->value.data);
    if (!degree) {
        reading.problem(
            Cause::wrong_type, entry->value.place,
            fmt::format("a pollution degree is a whole number, found {}", entry->value.type_name()),
            "write for example pollution_degree = 2");
    } else if (!allows(row_of(K::pollution_degree), *degree)) {
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
    const auto faults = reading.problems.size();
    const auto table = stated<K>(reading);
    if (!table) return;
    Insulation insulation;
    insulation.place = table->place;
    read_word(reading, *table, K::grade, "a grade of insulation", insulation.grade);
    read_mains(reading, *table, insulation);
    read_word(reading, *table, K::overvoltage_category, "an overvoltage category",
              insulation.overvoltage_category, 1);
    read_pollution(reading, *table, insulation);
    read_word(reading, *table, K::material_group, "a material group", insulation.group);
    if (reading.problems.size() == faults) reading.link.insulation = insulation;
}

}  // namespace gapwright::reading
