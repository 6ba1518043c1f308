#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "instrument/command_table.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_instruments = 100;
constexpr std::size_t longest_command = 200;
constexpr double longest_settle = 60;  // s
constexpr std::string_view example = "write for example output_off = \"OUTP:STAT 0\"";

bool is_printable(std::string_view text) {
    return std::ranges::all_of(text, [](char c) { return c >= ' ' && c <= '~'; });
}

std::size_t count(std::string_view text, std::string_view piece) {
    std::size_t found = 0;
    for (std::size_t at = text.find(piece); at != std::string_view::npos;
         at = text.find(piece, at + piece.size())) {
        ++found;
    }
    return found;
}

void fault(Cause cause, const Place& place, std::string message, std::string remedy,
           Problems& problems) {
    Diagnostic problem;
    problem.cause = cause;
    problem.place = place;
    problem.message = std::move(message);
    problem.remedy = std::move(remedy);
    problems.push_back(std::move(problem));
}

void read_settle(const TomlValue& value, const std::string& text, Commands& commands,
                 Problems& problems) {
    const auto time = parse_quantity(text, Dimension::time);
    if (!time) {
        const TextError& error = time.error();
        return fault(error.cause, value.text_place(error.begin, error.end), error.message,
                     error.remedy, problems);
    }
    if (*time > longest_settle) {
        return fault(Cause::out_of_range, value.place, "longer than a minute", "", problems);
    }
    commands.settle = *time;
}

void read_command(const CommandKey& key, const TomlValue& value, const std::string& text,
                  CommandEntry& instrument, Problems& problems) {
    using enum CommandKey::Form;
    const auto wrong = [&](std::string message) {
        fault(Cause::out_of_range, value.place, fmt::format("{}: {}", message, key.meaning),
              fmt::format("built in is {} = \"{}\"", key.key, Commands().*key.command), problems);
    };
    if (text.empty() && key.may_be_empty) {
        instrument.commands.*key.command = text;
        return;
    }
    if (text.find_first_not_of(' ') == std::string::npos) return wrong("it cannot be empty");
    const std::size_t numbers = count(text, "{}");
    if (key.form == setting && numbers != 1) return wrong("it needs {} once, for the number");
    if (key.form != setting && numbers != 0) return wrong("there is no number to put into {}");
    if (key.form == question && text.find('?') == std::string::npos) {
        return wrong("it asks nothing: it has no ?");
    }
    if (key.form != question && text.find('?') != std::string::npos) {
        return wrong("it must not ask anything: its answer would be taken for another");
    }
    instrument.commands.*key.command = text;
}

void read_key(const TomlEntry& entry, CommandEntry& instrument, Problems& problems) {
    const auto& keys = command_keys();
    const auto known = std::ranges::find(keys, entry.key, &CommandKey::key);
    std::vector<std::string> names = {"matches", "voltage_unit", "current_unit", "settle"};
    if (known == keys.end() && std::ranges::find(names, entry.key) == names.end()) {
        for (const CommandKey& key : keys) names.emplace_back(key.key);
        return fault(
            Cause::unknown_key, entry.key_place,
            fmt::format("an instrument has no \"{}\"{}", entry.key, did_you_mean(entry.key, names)),
            "", problems);
    }
    const std::string* text = entry.value.text();
    if (text == nullptr) {
        return fault(Cause::wrong_type, entry.value.place,
                     fmt::format("expected a text, found {}", entry.value.type_name()),
                     std::string(example), problems);
    }
    if (!is_printable(*text) || text->size() > longest_command) {
        return fault(
            Cause::out_of_range, entry.value.place,
            fmt::format("not a text of at most {} printable ASCII characters", longest_command),
            std::string(example), problems);
    }
    if (known != keys.end()) return read_command(*known, entry.value, *text, instrument, problems);
    if (entry.key == "settle")
        return read_settle(entry.value, *text, instrument.commands, problems);
    if (entry.key == "matches") {
        if (text->empty()) {
            return fault(Cause::out_of_range, entry.value.place,
                         "an empty text would match every instrument",
                         "write a piece of its answer to *IDN?", problems);
        }
        instrument.matches = *text;
        return;
    }
    const bool voltage = entry.key == "voltage_unit";
    const std::string unit = voltage ? "V" : "A";
    if (*text != unit && *text != "m" + unit) {
        return fault(Cause::wrong_unit, entry.value.place,
                     fmt::format("an instrument speaks in {0} or m{0}", unit), "", problems);
    }
    (voltage ? instrument.commands.volt : instrument.commands.ampere) = *text == unit ? 1 : 1e-3;
}

CommandEntry read_instrument(const TomlTable& table, const Place& place, Problems& problems) {
    CommandEntry instrument;
    for (const TomlEntry& entry : table.entries) read_key(entry, instrument, problems);
    if (table.find("matches") == nullptr) {
        fault(Cause::missing_key, place, "the instrument has no \"matches\"",
              "write a piece of its answer to *IDN?, for example matches = \"SUPPLY-3\"", problems);
    }
    return instrument;
}

void read_instruments(const TomlEntry& entry, CommandTable& commands, Problems& problems) {
    const TomlArray* list = entry.value.array();
    if (list == nullptr) {
        return fault(Cause::wrong_type, entry.value.place,
                     fmt::format("expected tables, found {}", entry.value.type_name()),
                     "write [[instrument]] above each one", problems);
    }
    if (list->size() > most_instruments) {
        return fault(Cause::too_large, entry.key_place,
                     fmt::format("more than {} instruments", most_instruments), "", problems);
    }
    for (const TomlValue& value : *list) {
        if (const TomlTable* table = value.table()) {
            commands.entries.push_back(read_instrument(*table, value.place, problems));
        } else {
            fault(Cause::wrong_type, value.place,
                  fmt::format("expected a table, found {}", value.type_name()), "", problems);
        }
    }
}

}  // namespace

Expected<CommandTable> read_command_table(std::shared_ptr<const SourceText> text) {
    const auto document = read_toml(std::move(text));
    if (!document) return std::unexpected(document.error());
    CommandTable commands;
    Problems problems;
    for (const TomlEntry& entry : document->root.entries) {
        if (entry.key == "instrument") {
            read_instruments(entry, commands, problems);
        } else {
            fault(Cause::unknown_key, entry.key_place,
                  fmt::format("such a file has no \"{}\"{}", entry.key,
                              did_you_mean(entry.key, {"instrument"})),
                  "each instrument is a table [[instrument]]", problems);
        }
    }
    if (!problems.empty()) return std::unexpected(std::move(problems));
    return commands;
}

}  // namespace gapwright
