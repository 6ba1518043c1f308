#include "instrument/command_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace gapwright {
namespace {

char upper(char c) {
    return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}

bool holds(std::string_view text, std::string_view piece) {
    return !std::ranges::search(text, piece, {}, upper, upper).empty();
}

}  // namespace

const std::vector<CommandKey>& command_keys() {
    using enum CommandKey::Form;
    static const std::vector<CommandKey> keys = {
        {"clear", &Commands::clear, order, true, "empties the error queue"},
        {"next_error", &Commands::next_error, question, true,
         "the oldest entry of the error queue"},
        {"set_voltage", &Commands::set_voltage, setting, false, "the supply's voltage limit"},
        {"voltage_setting", &Commands::voltage_setting, question, false, "that limit read back"},
        {"set_current", &Commands::set_current, setting, false, "the supply's current"},
        {"current_setting", &Commands::current_setting, question, false, "that current read back"},
        {"output_on", &Commands::output_on, order, false, "switches the output on"},
        {"output_off", &Commands::output_off, order, false, "switches the output off"},
        {"output_state", &Commands::output_state, question, false, "0 or 1: is the output on"},
        {"measure_voltage", &Commands::measure_voltage, question, false,
         "the voltage that the supply reads"},
        {"measure_current", &Commands::measure_current, question, false,
         "the current that the supply reads"},
        {"prepare_meter", &Commands::prepare_meter, order, true,
         "makes the meter read d.c. voltage"},
        {"prepare_ammeter", &Commands::prepare_ammeter, order, true,
         "makes the meter read d.c. current"},
        {"read_meter", &Commands::read_meter, question, false, "one reading of the meter"},
    };
    return keys;
}

Commands CommandTable::commands_for(std::string_view identity) const {
    for (const CommandEntry& entry : entries) {
        if (holds(identity, entry.matches)) return entry.commands;
    }
    return {};
}

std::string with_number(const std::string& command, double number) {
    // Down, never up: what is sent must not pass a limit by its rounding. The share is there for
    // numbers such as 0.02, which the doubles hold as a little less.
    const double millionths = std::floor(number * 1e6 * (1 + 1e-12));
    std::string digits = fmt::format("{:.6f}", millionths / 1e6);
    while (digits.back() == '0') digits.pop_back();
    if (digits.back() == '.') digits.pop_back();
    std::string result = command;
    if (const std::size_t at = result.find("{}"); at != std::string::npos) {
        result.replace(at, 2, digits);
    }
    return result;
}

}  // namespace gapwright
