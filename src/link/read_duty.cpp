// `duty` of [surroundings]: how a link's life is shared between its states.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/need.hpp"
#include "link/need_reading.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {

std::string duty_text(const std::string& state, double share) {
    return fmt::format("{} = \"{}\"", toml_key(state), percent(share, 10));
}

namespace reading {
namespace {

constexpr double rounding = 1e-9;  // what sums of decimal shares may be off by

const TomlEntry* duty_entry(const Reading& reading) {
    const auto* entry = reading.find(RootKey::surroundings);
    const auto* table = entry ? entry->value.table() : nullptr;
    return table ? table->find(name_of(SurroundingsKey::duty)) : nullptr;
}

// One share, 0 … 1, of the entry's name. A range would leave open which of its ends is the careful
// one.
std::optional<double> share_at(Reading& reading, const TomlEntry& entry) {
    FileKey key = row_of(SurroundingsKey::duty);
    key.name = entry.key;
    const auto share = spread_at(reading, TomlTable{{entry}}, key);
    if (!share) return std::nullopt;
    if (!share->varies()) return share->nominal;
    reading.problem(Cause::contradiction, entry.value.place,
                    "a share of time is one figure, not a range",
                    "write one figure; or leave duty out: each emitter then counts as lit all the "
                    "time at the most that it carries");
    return std::nullopt;
}

// duty = { … } with these shares, percent as few digits as say it.
std::string table_form(const std::vector<std::string>& states, const std::vector<double>& shares) {
    std::vector<std::string> texts;
    for (std::size_t s = 0; s < states.size(); ++s) {
        texts.push_back(duty_text(states[s], shares[s]));
    }
    return fmt::format("duty = {{ {} }}", fmt::join(texts, ", "));
}

std::vector<std::string> state_names(const Link& link) {
    std::vector<std::string> names;
    for (const State& state : link.states) names.push_back(state.name);
    return names;
}

void read_single(Reading& reading, const TomlEntry& duty) {
    auto& states = reading.link.states;
    const auto first = share_at(reading, duty);
    if (!first) return;
    const double rest = 1 - *first;
    if (states.size() > 2) {
        const double each = rest / static_cast<double>(states.size() - 1);
        std::vector<double> shares(states.size(), each);
        shares.front() = *first;
        reading.problem(
            Cause::contradiction, duty.value.place,
            fmt::format("duty is one figure, but the link has {} states", states.size()),
            "state the share of each, for example " +
                table_form(state_names(reading.link), shares));
        return;
    }
    states.front().share = first;
    if (states.size() == 2) states.back().share = rest;
}

void read_by_state(Reading& reading, const TomlEntry& duty, const TomlTable& table) {
    const auto faults = reading.problems.size();
    Link& link = reading.link;
    double sum = 0;
    for (const TomlEntry& entry : table.entries) {
        const auto state = link.find_state(entry.key);
        if (!state) {
            reading.problem(Cause::unknown_name, entry.key_place,
                            fmt::format("no state is called \"{}\"{}", entry.key,
                                        did_you_mean(entry.key, state_names(link))),
                            "states are declared under [states]");
            continue;
        }
        const auto share = share_at(reading, entry);
        if (!share) continue;
        link.states[*state].share = share;
        sum += *share;
    }
    for (const State& state : link.states) {
        if (table.find(state.name)) continue;
        reading.problem(
            Cause::missing_key, duty.value.place,
            fmt::format("duty does not say how long the link is in state {}", state.name),
            fmt::format("add {}, or another share, 0 % if it never is",
                        duty_text(state.name, sum < 1 ? 1 - sum : 0)));
    }
    if (reading.problems.size() > faults || sum <= 1 + rounding) return;
    reading.problem(Cause::contradiction, duty.value.place,
                    fmt::format("the shares of duty are {} together", percent(sum, 10)),
                    "together they may be 100 % at most; what is missing is time without supply");
}

}  // namespace

void read_duty(Reading& reading) {
    const TomlEntry* duty = duty_entry(reading);
    if (!duty || reading.link.states.empty()) return;
    const auto faults = reading.problems.size();
    if (const auto* table = duty->value.table()) {
        read_by_state(reading, *duty, *table);
    } else {
        read_single(reading, *duty);
    }
    if (reading.problems.size() == faults) return;
    for (State& state : reading.link.states) state.share.reset();
}

void read_need_duty(Reading& reading, Need& need) {
    const TomlEntry* duty = duty_entry(reading);
    if (!duty) return;
    if (duty->value.table()) {
        reading.problem(Cause::contradiction, duty->value.place,
                        "a need has no states yet that duty could name",
                        "write the share of time that the load is on, for example duty = \"5 %\"");
        return;
    }
    if (const auto share = share_at(reading, *duty)) {
        need.duty = NeedDuty{.share = *share, .place = duty->value.place};
    }
}

}  // namespace reading
}  // namespace gapwright
