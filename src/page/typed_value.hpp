// What is typed for a value of a link file or card, as the file writes it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "card/part_kind.hpp"
#include "link/file_table.hpp"
#include "page/refusal.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"
#include "units/typed_quantity.hpp"

namespace gapwright {

// The file in which a value stands.
enum class FileSort : std::uint8_t { link, card };
struct FileContext {
    FileSort sort = FileSort::link;
    std::string folder = {};  // of the cards that it names: they are looked for beside it
};

// The kind that a card's text says it is of, by itself or by the card that it is based on; none
// where it says no such kind.
std::optional<Kind> card_kind(const TomlTable& card, const std::string& folder);

// The rule of the figure that stands at a path of a card, or would; nullptr for anything else.
const KeyRule* card_key_at(const TomlTable& card, const TomlPath& path, const std::string& folder);

// The quantity that the file wants at a path; none where that is no quantity, or one of which the
// file does not say what it is.
std::optional<WantedQuantity> quantity_at(const TomlDocument& document, const TomlPath& path,
                                          const FileContext& file);

// The row of the link file's table about the value at a path; nullptr where it has none.
const FileKey* file_key_at(const TomlPath& path);

// `typed` as the file writes it there: a quantity rewritten (units/typed_quantity.hpp), all else as
// it is. What no rewriting is found for stays as well: whoever reads the file tells the remedy.
// Errors: 422 for what the file would take and a person could mean otherwise.
Answered<std::string> written_value(const TomlDocument& document, const TomlPath& path,
                                    const std::string& typed, const FileContext& file);

}  // namespace gapwright
