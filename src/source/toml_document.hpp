// A TOML 1.0 document with the place of every key and value.
//
// The only code that knows the TOML library is toml_document.cpp; everything above sees this tree.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

struct TomlValue;
struct TomlEntry;

using TomlArray = std::vector<TomlValue>;

// Entries in the order of the file.
struct TomlTable {
    std::vector<TomlEntry> entries;

    const TomlEntry* find(std::string_view key) const;  // nullptr when absent
    std::vector<std::string> keys() const;
};

// Dates and times are legal TOML but mean nothing here; only their text is kept.
struct TomlDate {
    std::string text;
};

struct TomlValue {
    Place place;  // of a string: with its quotes
    std::variant<std::string, std::int64_t, double, bool, TomlDate, TomlArray, TomlTable> data;

    const std::string* text() const { return std::get_if<std::string>(&data); }
    const TomlTable* table() const { return std::get_if<TomlTable>(&data); }
    const TomlArray* array() const { return std::get_if<TomlArray>(&data); }

    // "a text", "a table" …: for "expected X, found Y".
    std::string_view type_name() const;

    // The place of bytes [from, to) of a string's content. With escapes in the string the whole
    // value's place, since bytes of text and content then no longer agree.
    Place text_place(std::size_t from, std::size_t to) const;
};

struct TomlEntry {
    std::string key;
    Place key_place;
    TomlValue value;
};

struct TomlDocument {
    std::shared_ptr<const SourceText> text;
    TomlTable root;

    // The document's first characters: for errors about something that is missing altogether.
    Place start() const;
};

// Reads a document. Errors: invalid_utf8, not_toml (one, at the place where reading stopped),
// oversized_file above 1 MiB.
Expected<TomlDocument> read_toml(std::shared_ptr<const SourceText> text);

// A file's bytes, whatever they are. Errors: as read_file.
Expected<std::string> read_bytes(const std::string& path, std::size_t limit);

// The paths of all files that were read, or were to be, since the program began, each once, sorted.
// Kept here, where every file is read, so that no reader can forget to say what a run's outputs
// must not be. May be asked from several threads.
std::vector<std::string> files_read();

// Reads a file into memory. Errors: unreadable_file (with the system's reason), oversized_file
// above `limit` bytes.
Expected<std::shared_ptr<const SourceText>> read_file(const std::string& path,
                                                      std::size_t limit = 1U << 20U);

}  // namespace gapwright
