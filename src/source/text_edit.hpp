// Changes to a text that leave every other character as it is: comments, order and spacing stay.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "source/source_text.hpp"

namespace gapwright {

// Bytes [begin, end) give way to `replacement`; where begin equals end, it is inserted there.
struct TextEdit {
    std::size_t begin = 0;
    std::size_t end = 0;
    std::string replacement;
};

// The edit that replaces what stands at a place.
TextEdit replacement_at(const Place& place, std::string replacement);

// The text after all edits. They refer to the text as it was, may come in any order and must not
// overlap; insertions at one spot follow each other in the order given. Line ends in replacements
// are LF; where the text ends its lines with CR LF, so do they.
std::string edited(std::string_view text, std::vector<TextEdit> edits);

}  // namespace gapwright
