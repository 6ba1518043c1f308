#include "source/utf8.hpp"
#include <cstddef>
#include <string_view>

namespace gapwright {
namespace {

// How many bytes a first byte announces; 0 for a byte that starts nothing.
std::size_t announced_bytes(unsigned char first) {
    if (first < 0x80U) return 1;
    if (first >= 0xC2U && first <= 0xDFU) return 2;
    if (first >= 0xE0U && first <= 0xEFU) return 3;
    if (first >= 0xF0U && first <= 0xF4U) return 4;
    return 0;
}

}  // namespace

CodePoint code_point(std::string_view text, std::size_t at) {
    const auto first = static_cast<unsigned char>(text[at]);
    const std::size_t bytes = announced_bytes(first);
    if (bytes == 0 || bytes > text.size() - at) return {};
    if (bytes == 1) return {.value = first, .bytes = 1};
    char32_t value = first & (0x7FU >> bytes);
    for (std::size_t k = 1; k < bytes; ++k) {
        if (!is_continuation_byte(text[at + k])) return {};
        value = (value << 6U) | (static_cast<unsigned char>(text[at + k]) & 0x3FU);
    }
    const bool overlong = (bytes == 3 && value < 0x800U) || (bytes == 4 && value < 0x10000U);
    const bool surrogate = value >= 0xD800U && value <= 0xDFFFU;
    if (overlong || surrogate || value > 0x10FFFFU) return {};
    return {.value = value, .bytes = bytes};
}

std::size_t find_invalid_utf8(std::string_view text) {
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t bytes = code_point(text, at).bytes;
        if (bytes == 0) return at;
        at += bytes;
    }
    return std::string_view::npos;
}

}  // namespace gapwright
