// What every reader of files asks of a text before it looks at its contents.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

inline constexpr std::size_t largest_text = 1U << 20U;  // bytes: 1 MiB

// oversized_file above `largest_text`, invalid_utf8 at the first byte that is none; nothing when
// the text may be read.
std::optional<Diagnostic> find_unreadable(const std::shared_ptr<const SourceText>& text);

// oversized_file for a file of that name and size.
Diagnostic oversized(const std::string& name, std::size_t size, std::size_t limit);

}  // namespace gapwright
