// [states]: the settings of contacts and logic outputs.
#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "link/link.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"

namespace gapwright::reading {
namespace {

struct SettingWord {
    Kind kind;
    std::string_view word;
    Setting setting;
};
constexpr std::array<SettingWord, 4> setting_words = {
    {{Kind::contact, "open", Setting::open},
     {Kind::contact, "closed", Setting::closed},
     {Kind::logic_output, "low", Setting::low},
     {Kind::logic_output, "high", Setting::high}}};

std::optional<Setting> setting_of(Kind kind, std::string_view word) {
    for (const auto& known : setting_words) {
        if (known.kind == kind && known.word == word) return known.setting;
    }
    return std::nullopt;
}

std::vector<std::string> setting_names(bool contact) {
    return contact ? std::vector<std::string>{"open", "closed"}
                   : std::vector<std::string>{"low", "high"};
}

bool has_setting(const Part& part) {
    return part.description.kind == Kind::contact || part.description.kind == Kind::logic_output;
}

void read_setting(Reading& reading, const TomlEntry& entry, State& state) {
    const auto index = reading.link.find_part(entry.key);
    if (!index) {
        std::vector<std::string> names;
        for (const auto& part : reading.link.parts) {
            if (has_setting(part)) names.push_back(part.name);
        }
        reading.problem(
            Cause::unknown_name, entry.key_place,
            fmt::format("no part is called \"{}\"{}", entry.key, did_you_mean(entry.key, names)),
            "a state sets contacts and logic outputs");
        return;
    }
    const Part& part = reading.link.parts[*index];
    if (!part.readable) return;  // its own error is enough
    if (!has_setting(part)) {
        reading.problem(Cause::contradiction, entry.key_place,
                        fmt::format("{} is a {} and has no setting", part.name,
                                    kind_rule(part.description.kind).name),
                        "a state sets contacts and logic outputs");
        return;
    }
    const auto* word = entry.value.text();
    const auto setting = word ? setting_of(part.description.kind, *word) : std::nullopt;
    if (!setting) {
        const bool contact = part.description.kind == Kind::contact;
        reading.problem(
            word ? Cause::unknown_name : Cause::wrong_type, entry.value.place,
            fmt::format("{} is {}{}", part.name,
                        contact ? "a contact: \"open\" or \"closed\""
                                : "a logic output: \"low\" or \"high\"",
                        word ? did_you_mean(*word, setting_names(contact)) : ""),
            fmt::format("write for example {} = \"{}\"", part.name, contact ? "closed" : "high"));
        return;
    }
    state.settings[*index] = *setting;
}

// A contact that no state speaks of rests open, a logic output low.
void rest_others(const Link& link, State& state) {
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Part& part = link.parts[k];
        if (!has_setting(part) || state.settings.contains(k)) continue;
        state.settings[k] = part.description.kind == Kind::contact ? Setting::open : Setting::low;
        state.assumed.push_back(k);
    }
}

}  // namespace

void read_states(Reading& reading) {
    if (const auto* table = table_at(reading, name_of(RootKey::states))) {
        if (table->entries.size() > most_states) {
            reading.problem(Cause::too_large, table->entries[most_states].key_place,
                            fmt::format("the link has {} states, more than the {} it may have",
                                        table->entries.size(), most_states));
            return;
        }
        for (const auto& entry : table->entries) {
            if (entry.key.find_first_of("\r\n") != std::string::npos) {
                reading.problem(Cause::contradiction, entry.key_place,
                                fmt::format("a state cannot be called \"{}\"", entry.key),
                                "a name is one line");
            }
            State state{.name = entry.key, .place = entry.key_place, .settings = {}, .assumed = {}};
            if (const auto* settings = entry.value.table()) {
                for (const auto& setting : settings->entries) {
                    read_setting(reading, setting, state);
                }
            } else {
                reading.problem(
                    Cause::wrong_type, entry.value.place,
                    fmt::format("state {} is a table of settings, found {}", entry.key,
                                entry.value.type_name()),
                    fmt::format("write for example {} = {{ S1 = \"closed\" }}", entry.key));
            }
            rest_others(reading.link, state);
            reading.link.states.push_back(std::move(state));
        }
    }
    if (reading.link.states.empty()) {  // a link without anything to set has one state
        State state{.name = "on", .place = reading.document.start(), .settings = {}, .assumed = {}};
        rest_others(reading.link, state);
        reading.link.states.push_back(std::move(state));
    }
}

}  // namespace gapwright::reading

namespace gapwright {

std::string_view setting_word(Setting setting) {
    const auto* found =
        std::ranges::find(reading::setting_words, setting, &reading::SettingWord::setting);
    return found->word;
}

}  // namespace gapwright
