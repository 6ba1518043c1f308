// What is typed for a value, as TOML text.
#pragma once

#include <string>

#include "page/typed_value.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {

// `typed`, already as the file writes it (typed_value.hpp), as TOML for that path. Of a link file:
// lists and tables as they are, a number or truth where one stood, else in quotes. Of a card: a
// number where one stood, a table for a part within it, else in quotes.
std::string typed_toml(const TomlDocument& document, const TomlPath& path, const std::string& typed,
                       const FileContext& file);

}  // namespace gapwright
