// What is typed for a value of a link file, as the file writes it.
#pragma once

#include <optional>
#include <string>

#include "link/file_table.hpp"
#include "page/refusal.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"
#include "units/typed_quantity.hpp"

namespace gapwright {

// The quantity that the file wants at a path; none where that is no quantity, or one of which the
// file does not say what it is. Cards that parts name are looked for beside `folder`.
std::optional<WantedQuantity> quantity_at(const TomlDocument& document, const TomlPath& path,
                                          const std::string& folder);

// The row of the file's table about the value at a path; nullptr where it has none.
const FileKey* file_key_at(const TomlPath& path);

// `typed` as the file writes it there: a quantity rewritten (units/typed_quantity.hpp), all else as
// it is. What no rewriting is found for stays as well: whoever reads the file tells the remedy.
// Errors: 422 for what the file would take and a person could mean otherwise.
Answered<std::string> written_value(const TomlDocument& document, const TomlPath& path,
                                    const std::string& typed, const std::string& folder);

}  // namespace gapwright
