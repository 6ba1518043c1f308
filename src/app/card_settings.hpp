// Options of the card commands that state quantities: "collector_emitter_voltage = 5 V".
#pragma once

#include <string>
#include <string_view>
#include <utility>

#include "source/diagnostics.hpp"

namespace gapwright {

// A problem with an option: it has no place in a file.
Problems option_problem(Cause cause, std::string message, std::string remedy);

// Without blanks about it.
std::string trimmed(std::string text);

// "key = text", both without blanks about them. Error: not_a_quantity without an equals sign.
Expected<std::pair<std::string, std::string>> stated_setting(const std::string& text,
                                                             std::string_view option,
                                                             std::string_view example);

// A quantity of points and its value. Errors: those of stated_setting, unknown_key, those of
// parse_quantity.
Expected<std::pair<std::string, double>> stated_quantity(const std::string& text,
                                                         std::string_view option);

// unknown_key, with what was most likely meant.
Problems unknown_quantity(const std::string& name, std::string_view option);

}  // namespace gapwright
