// Which characters a terminal would obey in place of showing them, and what is shown for them.
// Internal to the layer.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace gapwright {

// Control characters (C0, DEL, C1), line separators and what turns the writing direction.
bool is_harmful(char32_t c);

// One character of a text as it is shown.
struct Visible {
    std::string shown;      // itself, \x1b, \u202e, or \xff for a byte that is not UTF-8
    std::size_t width = 1;  // characters in `shown`
    std::size_t bytes = 1;  // that it takes in the text
};

// The character at byte `at`. Requires at < text.size().
Visible visible(std::string_view text, std::size_t at);

}  // namespace gapwright
