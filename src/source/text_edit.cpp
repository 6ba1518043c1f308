#include "source/text_edit.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>
#include "source/source_text.hpp"

namespace gapwright {
namespace {

std::string with_line_ends(const std::string& text, bool carriage_returns) {
    if (!carriage_returns) return text;
    std::string result;
    for (const char c : text) {
        if (c == '\n') result += '\r';
        result += c;
    }
    return result;
}

}  // namespace

TextEdit replacement_at(const Place& place, std::string replacement) {
    return {place.begin, place.end, std::move(replacement)};
}

std::string edited(std::string_view text, std::vector<TextEdit> edits) {
    std::ranges::stable_sort(edits, {}, &TextEdit::begin);
    const bool carriage_returns = text.find("\r\n") != std::string_view::npos;
    std::string result;
    std::size_t from = 0;
    for (const auto& edit : edits) {
        result += text.substr(from, edit.begin - from);
        result += with_line_ends(edit.replacement, carriage_returns);
        from = edit.end;
    }
    result += text.substr(from);
    return result;
}

}  // namespace gapwright
