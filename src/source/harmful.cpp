#include "source/harmful.hpp"

#include <fmt/format.h>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

#include "source/utf8.hpp"

namespace gapwright {

bool is_harmful(char32_t c) {
    const bool control = c < 0x20U || (c >= 0x7FU && c <= 0x9FU);
    const bool line_break = c == 0x2028U || c == 0x2029U;
    const bool turns_direction = (c >= 0x202AU && c <= 0x202EU) || (c >= 0x2066U && c <= 0x2069U);
    return control || line_break || turns_direction;
}

Visible visible(std::string_view text, std::size_t at) {
    const CodePoint c = code_point(text, at);
    if (c.bytes > 0 && !is_harmful(c.value)) {
        return {.shown = std::string(text.substr(at, c.bytes)), .width = 1, .bytes = c.bytes};
    }
    constexpr char32_t first_of_c1 = 0x80U;
    const bool one_byte = c.bytes == 0 || c.value < first_of_c1;
    std::string shown =
        one_byte
            ? fmt::format("\\x{:02x}", static_cast<unsigned>(static_cast<unsigned char>(text[at])))
            : fmt::format("\\u{:04x}", static_cast<unsigned>(c.value));
    const std::size_t width = shown.size();
    return {.shown = std::move(shown), .width = width, .bytes = c.bytes == 0 ? 1 : c.bytes};
}

}  // namespace gapwright
