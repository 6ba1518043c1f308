#include "source/source_text.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>

#include "source/utf8.hpp"

namespace gapwright {
namespace {

constexpr std::size_t block_size = 256;

}  // namespace

SourceText::SourceText(std::string name, std::string text)
    : name_(std::move(name)), text_(std::move(text)) {
    line_starts_.push_back(text_.starts_with(byte_order_mark) ? byte_order_mark.size() : 0);
    std::size_t characters = 0;
    for (std::size_t at = 0; at < text_.size(); ++at) {
        if (at % block_size == 0) characters_before_block_.push_back(characters);
        if (!is_continuation_byte(text_[at])) ++characters;
        if (text_[at] == '\n') line_starts_.push_back(at + 1);
    }
}

std::size_t SourceText::characters_before(std::size_t offset) const {
    if (text_.empty()) return 0;
    const std::size_t block = std::min(offset / block_size, characters_before_block_.size() - 1);
    const auto begin = text_.begin() + static_cast<std::ptrdiff_t>(block * block_size);
    const auto end = text_.begin() + static_cast<std::ptrdiff_t>(offset);
    const auto starts = std::count_if(begin, end, [](char c) { return !is_continuation_byte(c); });
    return characters_before_block_[block] + static_cast<std::size_t>(starts);
}

SourceText::LineColumn SourceText::line_column(std::size_t offset) const {
    offset = std::clamp(offset, line_starts_.front(), text_.size());
    const auto after = std::upper_bound(line_starts_.begin(), line_starts_.end(), offset);
    const std::size_t start = *(after - 1);
    // From within a character back to its first byte.
    std::size_t first = offset;
    while (first > start && offset - first < 3 && first < text_.size() &&
           is_continuation_byte(text_[first])) {
        --first;
    }
    if (first < offset && first + code_point(text_, first).bytes > offset) offset = first;
    return {.line = static_cast<std::size_t>(after - line_starts_.begin()),
            .column = characters_before(offset) - characters_before(start) + 1};
}

std::size_t SourceText::offset(LineColumn where) const {
    const std::size_t line_number = std::max<std::size_t>(where.line, 1);
    if (line_number > line_starts_.size()) return text_.size();
    const std::size_t start = line_starts_[line_number - 1];
    const std::size_t end = start + line(line_number).size();
    const std::size_t ahead = std::max<std::size_t>(where.column, 1) - 1;
    if (ahead >= end - start) return end;
    // The last block that does not lie behind the wanted character, then on byte by byte.
    const std::size_t wanted = characters_before(start) + ahead;
    const auto behind =
        std::upper_bound(characters_before_block_.begin(), characters_before_block_.end(), wanted);
    const auto block = static_cast<std::size_t>(behind - characters_before_block_.begin()) - 1;
    std::size_t at = std::max(start, block * block_size);
    std::size_t passed = characters_before(at);
    while (at < end && (passed < wanted || is_continuation_byte(text_[at]))) {
        if (!is_continuation_byte(text_[at])) ++passed;
        ++at;
    }
    return at;
}

std::string_view SourceText::line(std::size_t line) const {
    if (line == 0 || line > line_starts_.size()) return {};
    const std::size_t start = line_starts_[line - 1];
    if (line == line_starts_.size()) return text().substr(start);
    std::string_view content = text().substr(start, line_starts_[line] - 1 - start);
    if (content.ends_with('\r')) content.remove_suffix(1);
    return content;
}

Place Place::part(std::size_t from, std::size_t to) const {
    const std::size_t size = end > begin ? end - begin : 0;
    from = std::min(from, size);
    to = std::clamp(to, from, size);
    return {.text = text, .begin = begin + from, .end = begin + to};
}

}  // namespace gapwright
