// [signal] and [disturbance]: what a link is to carry, and what happens to it besides.
#include <algorithm>
#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright::reading {
namespace {

using S = SignalKey;
using D = DisturbanceKey;

// The two states of the signal: as stated, or the first two.
void read_signal_states(Reading& reading, const Stated<S>& table, Signal& signal) {
    const auto* entry = table.find(S::states);
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
void offer_frequency(Reading& reading, const Stated<S>& table) {
    const auto* entry = table.find(S::rate);
    const auto* text = entry ? entry->value.text() : nullptr;
    if (!text || !parse_spread(*text, Dimension::frequency)) return;
    reading.problems.back().remedy += fmt::format(", or write frequency = \"{}\"", *text);
}

}  // namespace

void read_signal(Reading& reading) {
    const auto faults = reading.problems.size();
    const auto table = stated<S>(reading);
    if (!table) return;
    Signal signal;
    signal.place = table->place;
    const auto rate = spread_at(reading, *table, S::rate);
    if (!rate) offer_frequency(reading, *table);
    const auto frequency = spread_at(reading, *table, S::frequency);
    const auto duty = spread_at(reading, *table, S::duty);
    if (table->find(S::rate) && table->find(S::frequency)) {
        reading.problem(Cause::contradiction, table->find(S::frequency)->key_place,
                        "a signal has a rate or a frequency, not both");
    } else if (!table->find(S::rate) && !table->find(S::frequency)) {
        reading.problem(Cause::missing_key, signal.place, "the signal states no rate",
                        "write for example rate = \"31.25 kBd\" or frequency = \"1 kHz\"");
    }
    if (rate && table->find(S::duty)) {
        reading.problem(Cause::contradiction, table->find(S::duty)->key_place,
                        "a signal with a rate has bits of equal length, and no duty");
    }
    if (duty && !(duty->nominal > 0 && duty->nominal < 1)) {
        reading.problem(Cause::out_of_range, table->find(S::duty)->value.place,
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
    const auto faults = reading.problems.size();
    const auto table = stated<D>(reading);
    if (!table) return;
    Disturbance disturbance;
    const auto set = [&](D key, double& figure) {
        if (const auto spread = spread_at(reading, *table, key)) figure = spread->highest;
    };
    set(D::edge, disturbance.edge);
    set(D::amplitude, disturbance.amplitude);
    set(D::dip, disturbance.dip);
    set(D::dip_time, disturbance.dip_time);
    const auto pair = [&](D one, D other, std::string_view example) {
        const auto* has = table->find(one);
        if (has && !table->find(other)) {
            reading.problem(Cause::missing_key, has->key_place,
                            fmt::format("{} needs {} beside it", name_of(one), name_of(other)),
                            fmt::format("write for example {}", example));
        }
    };
    pair(D::edge, D::amplitude, "amplitude = \"24 V\"");
    pair(D::amplitude, D::edge, "edge = \"500 V/µs\"");
    pair(D::dip, D::dip_time, "dip_time = \"1 ms\"");
    pair(D::dip_time, D::dip, "dip = \"30 %\"");
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
