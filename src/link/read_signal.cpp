// [signal] and [disturbance]: what a link is to carry, and what happens to it besides.
#include <algorithm>
#include <cstddef>
#include <optional>
#include <vector>

#include "card/part_kind.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright::reading {
namespace {

// The two states of the signal: as stated, or the first two.
void read_signal_states(Reading& reading, const TomlTable& table, Signal& signal) {
    const auto* entry = table.find("states");
    if (!entry) {
        if (reading.link.states.size() < 2) {
            reading.problem(Cause::missing_key, signal.place,
                            "a signal alternates between two states, and the link has fewer",
                            "declare them under [states]");
        }
        return;
    }
    const auto* list = entry->value.array();
    if (!list || list->size() != 2) {
        reading.problem(Cause::wrong_type, entry->value.place, "a signal has a list of two states",
                        "write for example states = [\"mark\", \"space\"]");
        return;
    }
    const auto rest = state_at(reading, (*list)[0]);
    const auto active = state_at(reading, (*list)[1]);
    if (!rest || !active) return;
    if (*rest == *active) {
        reading.problem(Cause::contradiction, entry->value.place,
                        "a signal alternates between two different states");
    }
    signal.rest = *rest;
    signal.active = *active;
}

// A rate that was refused and is a frequency has a key of its own.
void offer_frequency(Reading& reading, const TomlTable& table) {
    const auto* entry = table.find("rate");
    const auto* text = entry ? entry->value.text() : nullptr;
    if (!text || !parse_spread(*text, Dimension::frequency)) return;
    reading.problems.back().remedy += fmt::format(", or write frequency = \"{}\"", *text);
}

}  // namespace

void read_signal(Reading& reading) {
    const auto* table = table_at(reading, reading.document.root, "signal");
    if (!table) return;
    const auto faults = reading.problems.size();
    refuse_unknown(reading, *table, "[signal]", {"rate", "frequency", "duty", "states"});
    Signal signal;
    signal.place = reading.document.root.find("signal")->key_place;
    const auto rate =
        spread_at(reading, *table, "rate", Dimension::signalling_rate, Range::above_zero);
    if (!rate) offer_frequency(reading, *table);
    const auto frequency =
        spread_at(reading, *table, "frequency", Dimension::frequency, Range::above_zero);
    const auto duty = spread_at(reading, *table, "duty", Dimension::ratio, Range::share);
    if (table->find("rate") && table->find("frequency")) {
        reading.problem(Cause::contradiction, table->find("frequency")->key_place,
                        "a signal has a rate or a frequency, not both");
    } else if (!table->find("rate") && !table->find("frequency")) {
        reading.problem(Cause::missing_key, signal.place, "the signal states no rate",
                        "write for example rate = \"31.25 kBd\" or frequency = \"1 kHz\"");
    }
    if (rate && table->find("duty")) {
        reading.problem(Cause::contradiction, table->find("duty")->key_place,
                        "a signal with a rate has bits of equal length, and no duty");
    }
    if (duty && !(duty->nominal > 0 && duty->nominal < 1)) {
        reading.problem(Cause::out_of_range, table->find("duty")->value.place,
                        "duty must lie between 0 and 100 %, without either");
    }
    read_signal_states(reading, *table, signal);
    if (rate) {
        signal.bit = signal.width = 1 / rate->nominal;
        signal.period = 2 * signal.bit;
    } else if (frequency) {
        const double share = duty ? duty->nominal : 0.5;
        signal.by_rate = false;
        signal.period = 1 / frequency->nominal;
        signal.width = share * signal.period;
        signal.bit = std::min(share, 1 - share) * signal.period;
    }
    if (reading.problems.size() == faults) reading.link.signal = signal;
}

void read_disturbance(Reading& reading) {
    const auto* table = table_at(reading, reading.document.root, "disturbance");
    if (!table) return;
    const auto faults = reading.problems.size();
    refuse_unknown(reading, *table, "[disturbance]", {"edge", "amplitude", "dip", "dip_time"});
    Disturbance disturbance;
    const auto set = [&](std::string_view key, Dimension dimension, Range range, double& figure) {
        if (const auto spread = spread_at(reading, *table, key, dimension, range)) {
            figure = spread->highest;
        }
    };
    set("edge", Dimension::voltage_rate, Range::above_zero, disturbance.edge);
    set("amplitude", Dimension::voltage, Range::above_zero, disturbance.amplitude);
    set("dip", Dimension::ratio, Range::share, disturbance.dip);
    set("dip_time", Dimension::time, Range::above_zero, disturbance.dip_time);
    const auto pair = [&](std::string_view one, std::string_view other, std::string_view example) {
        const auto* has = table->find(one);
        if (has && !table->find(other)) {
            reading.problem(Cause::missing_key, has->key_place,
                            fmt::format("{} needs {} beside it", one, other),
                            fmt::format("write for example {}", example));
        }
    };
    pair("edge", "amplitude", "amplitude = \"24 V\"");
    pair("amplitude", "edge", "edge = \"500 V/µs\"");
    pair("dip", "dip_time", "dip_time = \"1 ms\"");
    pair("dip_time", "dip", "dip = \"30 %\"");
    if (reading.problems.size() == faults) reading.link.disturbance = disturbance;
}

std::optional<std::size_t> state_at(Reading& reading, const TomlValue& value) {
    const auto* text = value.text();
    if (!text) {
        reading.problem(Cause::wrong_type, value.place,
                        fmt::format("a state is named by a text, found {}", value.type_name()));
        return std::nullopt;
    }
    const auto found = reading.link.find_state(*text);
    if (!found) {
        std::vector<std::string> names;
        for (const auto& state : reading.link.states) names.push_back(state.name);
        reading.problem(
            Cause::unknown_name, value.place,
            fmt::format("no state is called \"{}\"{}", *text, did_you_mean(*text, names)),
            "states are declared under [states]");
    }
    return found;
}

}  // namespace gapwright::reading
