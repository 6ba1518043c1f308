// What the form of a need offers in place of a table that would have to be written: words, and the
// table that each stands for.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "source/toml_edit.hpp"

namespace gapwright {

struct ValueOffer {
    std::string words;  // "a coil, described here"
    std::string toml;   // "{ kind = \"coil\", … }"
};

// For need.drive and need.load; empty for any other path. Shipped cards come first.
const std::vector<ValueOffer>& offers_at(const TomlPath& path);

// The TOML text that the words stand for at that path.
std::optional<std::string> offered_value(const TomlPath& path, const std::string& words);

// Whether a table is still the example of a description that an offer put there.
bool is_offered_example(const TomlPath& path, const std::string& toml);

}  // namespace gapwright
