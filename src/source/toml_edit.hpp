// Changes to one value of a TOML document, by the path to it: everything else stays as its writer
// left it.
#pragma once

#include <cstddef>
#include <expected>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "source/text_edit.hpp"
#include "source/toml_document.hpp"

namespace gapwright {

// A step into a table by its key, or into a list by its index.
using TomlStep = std::variant<std::string, std::size_t>;
using TomlPath = std::vector<TomlStep>;

// The value at a path; nullptr where there is none.
const TomlValue* value_at(const TomlTable& root, std::span<const TomlStep> path);

// A text as a TOML string in quotes.
std::string toml_string(std::string_view text);

// A key as TOML text: bare where it may be, else in quotes.
std::string toml_key(const std::string& key);

// Sets the value at `path` to `toml`, which is TOML text ("\"330 Ω\"", "1.9", "{ kind = … }").
// What stands there is replaced; else the key is added behind the last one of its table, between
// braces or on a line of its own; a table of the root that is not there yet is added at the end.
// Errors, a sentence: a path that leads through a value or list, or an index that is not there.
std::expected<TextEdit, std::string> set_value(const TomlDocument& document, const TomlPath& path,
                                               const std::string& toml);

// Takes a key and its value out, or one table of an array of tables, with the line ends or commas
// that belong to them. Errors: nothing stands there; a path without a key to take out.
std::expected<TextEdit, std::string> remove_value(const TomlDocument& document,
                                                  const TomlPath& path);

// Keys of a table, each with its value as TOML text.
using TomlKeys = std::vector<std::pair<std::string, std::string>>;

// Adds [[name]] with these keys behind the last one of that name, or at the end. Errors: `name` is
// something else in the document.
std::expected<TextEdit, std::string> append_table(const TomlDocument& document,
                                                  const std::string& name, const TomlKeys& keys);

}  // namespace gapwright
