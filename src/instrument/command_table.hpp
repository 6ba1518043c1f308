// The commands that instruments understand: a built-in table, and a file that extends it.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// What to send to one instrument. `{}` stands for the number. The defaults are common SCPI
// (SCPI-99, from memory); empty means that the instrument has no such command, which only
// `clear`, `next_error`, `prepare_meter` and `prepare_ammeter` may be.
struct Commands {
    std::string clear = "*CLS";
    std::string next_error = "SYST:ERR?";
    std::string set_voltage = "VOLT {}";
    std::string voltage_setting = "VOLT?";
    std::string set_current = "CURR {}";
    std::string current_setting = "CURR?";
    std::string output_on = "OUTP ON";
    std::string output_off = "OUTP OFF";
    std::string output_state = "OUTP?";
    std::string measure_voltage = "MEAS:VOLT?";  // by the supply
    std::string measure_current = "MEAS:CURR?";  // by the supply
    std::string prepare_meter = "CONF:VOLT:DC";
    std::string prepare_ammeter = "CONF:CURR:DC";
    std::string read_meter = "READ?";
    double volt = 1;    // V of one unit in which the instrument speaks of voltages
    double ampere = 1;  // A of one unit in which it speaks of currents
    double settle = 0;  // s that it wants besides the sweep's own settling time
};

// One command by its key in files.
struct CommandKey {
    std::string_view key;
    std::string Commands::* command;
    enum class Form { order, setting, question } form;  // `setting` holds `{}`, `question` a `?`
    bool may_be_empty = false;
    std::string_view meaning;  // for documents and errors
};
const std::vector<CommandKey>& command_keys();

// Commands for instruments whose answer to *IDN? holds `matches`, letters' case ignored.
struct CommandEntry {
    std::string matches;
    Commands commands;
};

struct CommandTable {
    std::vector<CommandEntry> entries;  // the first that matches wins

    // The built-in commands where no entry matches.
    Commands commands_for(std::string_view identity) const;
};

// Reads a file of `[[instrument]]` tables: `matches`, and any of the keys of command_keys(),
// `voltage_unit` ("V", "mV"), `current_unit` ("A", "mA"), `settle` ("0.2 s", up to 60 s); what is
// left out stays as built in. Errors: those of read_toml, unknown_key, missing_key, wrong_type,
// out_of_range (a command that lacks its `{}` or `?`, is no text of 1 to 200 printable ASCII
// characters, or may not be empty), those of a time, too_large above 100 instruments.
Expected<CommandTable> read_command_table(std::shared_ptr<const SourceText> text);

// The command with its number in place of `{}`, in fixed notation, rounded down to six decimals.
// Requires 0 <= number < 1e9.
std::string with_number(const std::string& command, double number);

}  // namespace gapwright
