// UTF-8 as bytes: where a code point ends, and where a text stops being UTF-8.
#pragma once

#include <cstddef>
#include <string_view>

namespace gapwright {

inline constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

// True of every byte of a code point but its first.
constexpr bool is_continuation_byte(char byte) {
    return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

// A code point and how many bytes it takes; no bytes when those at hand are not UTF-8 (overlong
// forms, surrogates and anything above U+10FFFF are not).
struct CodePoint {
    char32_t value = 0;
    std::size_t bytes = 0;
};

// The code point that starts at byte `at`. Requires at < text.size().
CodePoint code_point(std::string_view text, std::size_t at);

// The offset of the first byte that is not UTF-8; npos when all of the text is.
std::size_t find_invalid_utf8(std::string_view text);

}  // namespace gapwright
