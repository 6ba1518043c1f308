// The steps of reading a link file, each in its own file. Internal to the layer.
#pragma once

#include <fmt/format.h>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "card/card_shelf.hpp"
#include "circuit/index.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright::reading {

// More than these no link of the trade has; the limits keep a hostile file from taking the machine.
inline constexpr std::size_t most_parts = 300;
inline constexpr std::size_t most_paths = 300;
inline constexpr std::size_t most_states = 64;
inline constexpr std::size_t most_promises = 256;

// What every step works on.
struct Reading {
    const TomlDocument& document;
    CardShelf& shelf;
    Link& link;
    Problems& problems;

    const TomlEntry* find(RootKey key) const { return document.root.find(name_of(key)); }
    void problem(Cause cause, const Place& place, std::string message, std::string remedy = {}) {
        problems.push_back({.cause = cause,
                            .place = place,
                            .message = std::move(message),
                            .remedy = std::move(remedy)});
    }
};

// A table of the file as it stands there, asked by the keys that it may have.
template <class TableKey>
struct Stated {
    const TomlTable& table;
    Place place;  // what it is known by: its key, its head

    const TomlEntry* find(TableKey key) const { return table.find(name_of(key)); }
};

// Each step fills its part of the link and adds the problems it finds.
void read_head(Reading& reading);          // title, about, unknown tables
void refuse_need(Reading& reading);        // a need where a circuit is asked for
void read_surroundings(Reading& reading);  // [surroundings]
void read_parts(Reading& reading);         // [parts]
void read_sides(Reading& reading);         // [input], [output]: supplies and the text of paths
void place_parts(Reading& reading);        // paths → nodes and placements
void check_names(Reading& reading);        // parts that are declared nowhere
void check_topology(Reading& reading);     // isolation, dangling and floating nodes, shorts
void read_states(Reading& reading);        // [states]
void read_duty(Reading& reading);          // duty of [surroundings], by state
void read_signal(Reading& reading);        // [signal]
void read_disturbance(Reading& reading);   // [disturbance]
void read_analogue(Reading& reading);      // [analogue]
void read_insulation(Reading& reading);    // [insulation]
void read_meter(Reading& reading);         // [meter]
void read_promises(Reading& reading);      // [[promise]]
ChosenStock read_chosen_stock(Reading& reading);  // [choose]: drawer, series, tolerance, power

// The supply of a side's table, as text or as a battery's table, when it states one.
void read_supply(Reading& reading, const Stated<SideKey>& table, LinkSide& side);

// The table under a key of the file, or none; a problem when it is something else.
const TomlTable* table_at(Reading& reading, std::string_view key);

// The text under a key, or none; a problem when it is something else.
const TomlValue* text_at(Reading& reading, const TomlTable& table, const FileKey& key);

// The figure under a key, or none; with a problem when it is not what the key takes.
std::optional<Spread> spread_at(Reading& reading, const TomlTable& table, const FileKey& key);

// The same of a bound, in the unit of its promise.
std::optional<Spread> spread_at(Reading& reading, const TomlTable& table, const FileKey& key,
                                Dimension dimension);

// The state that a text names, or none with a problem.
std::optional<std::size_t> state_at(Reading& reading, const TomlValue& value);

// The key under which a side stands.
inline RootKey key_of(Side side) {
    return side == Side::input ? RootKey::input : RootKey::output;
}

// Whether a whole number is one that its key takes.
inline bool allows(const FileKey& key, std::int64_t number) {
    return number >= key.takes.least && number <= key.takes.most;
}

// Which of the words of a choice a text is, or none.
std::optional<std::size_t> word_in(const FileKey& key, std::string_view text);

// A problem for every key of `table` that is none of `known`; `where` is what messages call it.
void refuse_unknown(Reading& reading, const TomlTable& table, const FileTable& known,
                    std::string_view where);

// A table of the file with its unknown keys refused, or none.
template <class TableKey>
std::optional<Stated<TableKey>> stated(Reading& reading) {
    const FileTable& known = table_of(TableKey{});
    const TomlTable* table = table_at(reading, known.name);
    if (!table) return std::nullopt;
    refuse_unknown(reading, *table, known, known.title);
    return Stated<TableKey>{*table, reading.document.root.find(known.name)->key_place};
}

template <class TableKey>
const TomlValue* text_at(Reading& reading, const Stated<TableKey>& table, TableKey key) {
    return text_at(reading, table.table, row_of(key));
}

template <class TableKey>
std::optional<Spread> spread_at(Reading& reading, const Stated<TableKey>& table, TableKey key) {
    return spread_at(reading, table.table, row_of(key));
}

}  // namespace gapwright::reading
