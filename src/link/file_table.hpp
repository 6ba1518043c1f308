// The tables of a link file and their keys: one table. What readers take and refuse, the page's
// forms, docs/files.md and the schema for editors come from it.
//
// To add a key: an enumerator here, its row in file_table.cpp, and its use in a reader.
// docs/files.md then follows by tests/link/file_docs_test.cpp.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/part_kind.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// The keys of each table, in the order in which messages list them.
enum class RootKey {
    title,
    about,
    surroundings,
    input,
    output,
    parts,
    states,
    signal,
    disturbance,
    analogue,
    insulation,
    meter,
    promise,
    need,
    choose,
};
enum class SurroundingsKey { temperature, light, working_voltage, service, duty, reserve, stretch };
enum class SideKey { supply, paths };  // of [input] and [output]
enum class SignalKey { rate, frequency, duty, states };
enum class DisturbanceKey { edge, amplitude, dip, dip_time };
enum class AnalogueKey { state, drive, swing, output };
enum class InsulationKey {
    grade,
    mains,
    overvoltage_category,
    pollution_degree,
    material_group,
};
enum class MeterKey {
    accuracy,
    current_accuracy,
    resistance_accuracy,
    counts,
    input_resistance,
    burden_voltage,
    test_voltage,
    junction_voltage,
    junction_current,
    junction_range,
    insulation_voltage,
};
enum class PromiseKey {
    state,
    change,
    signal,
    current,
    voltage,
    power,
    side,
    at_least,
    at_most,
    reaches,
    within,
    reserve,
};
enum class NeedKey { drive, load, when, when_dead, rate };
enum class DriveKey { card, kind, input_type };           // need.drive, beside its kind's own
enum class LoadKey { card, kind, current, off_current };  // need.load, likewise
enum class ChooseKey { gaps, drawer, series, tolerance, power, indicator, distance, shroud };

// What the value of a key must be.
struct Takes {
    enum class What {
        text,
        choice,       // one of `words`
        quantity,     // with or without a spread
        bound,        // a quantity without a spread, in the unit of its promise
        whole,        // a whole number, `least` to `most`
        accuracy,     // "± (0.5 % + 2 digits)"
        share,        // a share of time, or a table with one for each state
        names,        // a list of texts
        two_names,    // a list of two
        name_or_two,  // a text, or a list of two
        supply,       // a voltage, or a battery's table
        part,         // a part's table
        parts,        // a table of parts by name
        states,       // a table of states by name, each a table of settings
        table,        // another table of the file
        tables,       // a list of such
    };
    What what = What::text;
    Dimension dimension = Dimension::ratio;  // of a quantity
    Range range = Range::any;                // likewise
    bool percent = false;                    // of a ratio that people state in percent
    std::string_view words = {};             // "functional|basic|reinforced"
    int least = 0;
    int most = 0;
};

struct FileKey {
    // Whether the page's form has a field for it: always, where the file states it, or not.
    enum class Field { always, stated, never };

    std::string_view name;
    Takes takes = {};
    // What somebody could type: without quotes; names of a list with commas between them.
    std::string_view example = {};
    std::string_view standard = {};  // what counts where nothing is stated; empty where none does
    std::string_view meaning = {};   // a sentence, of Markdown
    bool needed = false;             // wherever its table stands
    Field field = Field::always;
    std::string_view label = {};  // of the field, where the key says too little
};

struct FileTable {
    std::string_view name;   // "signal"; "need.drive"; of the file as a whole empty
    std::string_view title;  // as messages call it: "[signal]", "a promise"
    std::span<const FileKey> keys;

    std::vector<std::string> key_names() const;
    const FileKey* find(std::string_view key) const;  // nullptr where it has none of that name
};

// The table whose keys an enumeration has.
const FileTable& table_of(RootKey key);
const FileTable& table_of(SurroundingsKey key);
const FileTable& table_of(SideKey key);
const FileTable& table_of(SignalKey key);
const FileTable& table_of(DisturbanceKey key);
const FileTable& table_of(AnalogueKey key);
const FileTable& table_of(InsulationKey key);
const FileTable& table_of(MeterKey key);
const FileTable& table_of(PromiseKey key);
const FileTable& table_of(NeedKey key);
const FileTable& table_of(DriveKey key);
const FileTable& table_of(LoadKey key);
const FileTable& table_of(ChooseKey key);

// The table of that name, "need.drive"; [output] is like [input]; nullptr where there is none.
const FileTable* table_named(std::string_view name);

template <class TableKey>
const FileKey& row_of(TableKey key) {
    return table_of(key).keys[static_cast<std::size_t>(std::to_underlying(key))];
}
template <class TableKey>
std::string_view name_of(TableKey key) {
    return row_of(key).name;
}

// The example of a key as a TOML value, `"-10 .. 45 °C"`, `["off", "on"]`, `2`.
std::string toml_example(const FileKey& key);

}  // namespace gapwright
