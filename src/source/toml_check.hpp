// What the TOML library does not guard against by itself.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

inline constexpr std::size_t most_key_parts = 16;  // of a dotted key such as `parts.R1.value`

// not_toml at a key of more parts than that: each part is a table within a table, and tens of
// thousands of those would exhaust the stack.
std::optional<Diagnostic> find_deep_key(const std::shared_ptr<const SourceText>& text);

}  // namespace gapwright
