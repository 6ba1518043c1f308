// The steps of reading a link file, each in its own file. Internal to the layer.
#pragma once

#include <fmt/format.h>

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/part_kind.hpp"
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

    void problem(Cause cause, const Place& place, std::string message, std::string remedy = {}) {
        problems.push_back({.cause = cause,
                            .place = place,
                            .message = std::move(message),
                            .remedy = std::move(remedy)});
    }
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
void read_supply(Reading& reading, const TomlTable& table, LinkSide& side);

// The table under `key`, or none; a problem when it is something else.
const TomlTable* table_at(Reading& reading, const TomlTable& parent, std::string_view key);

// The text under `key`, or none; a problem when it is something else.
const TomlValue* text_at(Reading& reading, const TomlTable& parent, std::string_view key);

// A figure under `key` by a rule made on the spot, or none.
std::optional<Spread> spread_at(Reading& reading, const TomlTable& parent, std::string_view key,
                                Dimension dimension, Range range = Range::any);

// The state that a text names, or none with a problem.
std::optional<std::size_t> state_at(Reading& reading, const TomlValue& value);

// A problem for every key of `table` that is not in `known`.
void refuse_unknown(Reading& reading, const TomlTable& table, std::string_view where,
                    const std::vector<std::string>& known);

}  // namespace gapwright::reading
