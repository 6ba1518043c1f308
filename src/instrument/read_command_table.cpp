#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <memory>
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

class TableReader {
  public:
    Expected<CommandTable> read(const TomlDocument& document) {
        for (const TomlEntry& entry : document.root.entries) {
            if (entry.key == "instrument") {
                read_instruments(entry);
            } else {
                fault(Cause::unknown_key, entry.key_place,
                      fmt::format("such a file has no \"{}\"{}", entry.key,
                                  did_you_mean(entry.key, {"instrument"})),
                      "each instrument is a table [[instrument]]");
            }
        }
        if (!problems_.empty()) return std::unexpected(std::move(problems_));
        return std::move(table_);
    }

  private:
    void fault(Cause cause, const Place& place, std::string message, std::string remedy) {
        Diagnostic problem;
        problem.cause = cause;
        problem.place = place;
        problem.message = std::move(message);
        problem.remedy = std::move(remedy);
        problems_.push_back(std::move(problem));
    }

    void read_instruments(const TomlEntry& entry) {
        const TomlArray* list = entry.value.array();
        if (list == nullptr) {
            return fault(Cause::wrong_type, entry.value.place,
                         fmt::format("expected tables, found {}", entry.value.type_name()),
                         "write [[instrument]] above each one");
        }
        if (list->size() > most_instruments) {
            return fault(Cause::too_large, entry.key_place,
                         fmt::format("more than {} instruments", most_instruments), "");
        }
        for (const TomlValue& value : *list) {
            if (const TomlTable* table = value.table()) {
                read_instrument(*table, value.place);
            } else {
                fault(Cause::wrong_type, value.place,
                      fmt::format("expected a table, found {}", value.type_name()), "");
            }
        }
    }

    void read_instrument(const TomlTable& table, const Place& place) {
        CommandEntry instrument;
        for (const TomlEntry& entry : table.entries) read_key(entry, instrument);
        if (table.find("matches") == nullptr) {
            fault(Cause::missing_key, place, "the instrument has no \"matches\"",
                  "write a piece of its answer to *IDN?, for example matches = \"SUPPLY-3\"");
        }
        table_.entries.push_back(std::move(instrument));
    }

    void read_key(const TomlEntry& entry, CommandEntry& instrument) {
        const auto& keys = command_keys();
        const auto known = std::ranges::find(keys, entry.key, &CommandKey::key);
        std::vector<std::string> names = {"matches", "voltage_unit", "current_unit", "settle"};
        if (known == keys.end() && std::ranges::find(names, entry.key) == names.end()) {
            for (const CommandKey& key : keys) names.emplace_back(key.key);
            return fault(Cause::unknown_key, entry.key_place,
                         fmt::format("an instrument has no \"{}\"{}", entry.key,
                                     did_you_mean(entry.key, names)),
                         "");
        }
        const std::string* text = entry.value.text();
        if (text == nullptr) {
            return fault(Cause::wrong_type, entry.value.place,
                         fmt::format("expected a text, found {}", entry.value.type_name()),
                         std::string(example));
        }
        if (!is_printable(*text) || text->size() > longest_command) {
            return fault(
                Cause::out_of_range, entry.value.place,
                fmt::format("not a text of at most {} printable ASCII characters", longest_command),
                std::string(example));
        }
        if (known != keys.end()) return read_command(*known, entry.value, *text, instrument);
        if (entry.key == "settle") return read_settle(entry.value, *text, instrument.commands);
        if (entry.key == "matches") {
            if (text->empty()) {
                return fault(Cause::out_of_range, entry.value.place,
                             "an empty text would match every instrument",
                             "write a piece of its answer to *IDN?");
            }
            instrument.matches = *text;
            return;
        }
        const bool voltage = entry.key == "voltage_unit";
        const std::string unit = voltage ? "V" : "A";
        if (*text != unit && *text != "m" + unit) {
            return fault(Cause::wrong_unit, entry.value.place,
                         fmt::format("an instrument speaks in {0} or m{0}", unit), "");
        }
        (voltage ? instrument.commands.volt : instrument.commands.ampere) =
            *text == unit ? 1 : 1e-3;
    }

    void read_command(const CommandKey& key, const TomlValue& value, const std::string& text,
                      CommandEntry& instrument) {
        using enum CommandKey::Form;
        const auto wrong = [&](std::string message) {
            fault(Cause::out_of_range, value.place, fmt::format("{}: {}", message, key.meaning),
                  fmt::format("built in is {} = \"{}\"", key.key, Commands().*key.command));
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

    void read_settle(const TomlValue& value, const std::string& text, Commands& commands) {
        const auto time = parse_quantity(text, Dimension::time);
        if (!time) {
            const TextError& error = time.error();
            return fault(error.cause, value.text_place(error.begin, error.end), error.message,
                         error.remedy);
        }
        if (*time > longest_settle) {
            return fault(Cause::out_of_range, value.place, "longer than a minute", "");
        }
        commands.settle = *time;
    }

    CommandTable table_ = {};
    Problems problems_ = {};
};

}  // namespace

Expected<CommandTable> read_command_table(std::shared_ptr<const SourceText> text) {
    const auto document = read_toml(std::move(text));
    if (!document) return std::unexpected(document.error());
    return TableReader().read(*document);
}

}  // namespace gapwright
