// Stretches of foreign text made safe to show on a terminal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace gapwright {

// `text` in one line of visible characters: tabs become spaces; other control characters (line ends
// among them) and characters that turn the writing direction become \x1b or \u202e, bytes that are
// not UTF-8 \xff.
std::string printable(std::string_view text);

// A line as messages show it, and the line of carets that belongs under it.
struct Underlined {
    std::string line;
    std::string carets;
};

// Bytes [from, to) of `line` underlined as "^~~~"; an empty stretch, or one that lies behind the
// line, as a single '^'. A line of more than 120 characters is cut around the caret, "…" at the
// cuts.
Underlined underline(std::string_view line, std::size_t from, std::size_t to);

}  // namespace gapwright
