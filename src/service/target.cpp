#include "service/target.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "source/utf8.hpp"

namespace gapwright {
namespace {

int digit_of(char letter) {
    if (letter >= '0' && letter <= '9') return letter - '0';
    if (letter >= 'a' && letter <= 'f') return letter - 'a' + 10;
    if (letter >= 'A' && letter <= 'F') return letter - 'A' + 10;
    return -1;
}

bool is_control(char letter) {
    return static_cast<unsigned char>(letter) < 0x20U || letter == 0x7F;
}

std::optional<std::string> decoded(std::string_view text, bool plus_is_space) {
    std::string result;
    result.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] != '%') {
            result += plus_is_space && text[i] == '+' ? ' ' : text[i];
            continue;
        }
        if (text.size() - i < 3) return std::nullopt;
        const int high = digit_of(text[i + 1]);
        const int low = digit_of(text[i + 2]);
        if (high < 0 || low < 0) return std::nullopt;
        result += static_cast<char>(16 * high + low);
        i += 2;
    }
    if (std::ranges::any_of(result, is_control)) return std::nullopt;
    if (find_invalid_utf8(result) != std::string_view::npos) return std::nullopt;
    return result;
}

bool is_visible(char letter) {
    return letter > ' ' && letter < 0x7F;
}

}  // namespace

std::optional<RequestTarget> parse_target(std::string_view text) {
    if (!text.starts_with('/') || !std::ranges::all_of(text, is_visible) || text.contains('#')) {
        return std::nullopt;
    }
    const std::size_t mark = text.find('?');
    const auto path = decoded(text.substr(0, mark), false);
    if (!path) return std::nullopt;
    RequestTarget result{*path, {}};
    if (mark == std::string_view::npos) return result;
    std::string_view rest = text.substr(mark + 1);
    while (!rest.empty()) {
        const std::size_t end = rest.find('&');
        const std::string_view pair = rest.substr(0, end);
        rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
        if (pair.empty()) continue;
        const std::size_t sign = pair.find('=');
        const auto name = decoded(pair.substr(0, sign), true);
        const auto value = decoded(
            sign == std::string_view::npos ? std::string_view() : pair.substr(sign + 1), true);
        if (!name || !value || !result.query.emplace(*name, *value).second) return std::nullopt;
    }
    return result;
}

}  // namespace gapwright
