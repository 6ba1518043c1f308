#include "source/display.hpp"

#include <algorithm>
#include <vector>

#include "source/utf8.hpp"

namespace gapwright {
namespace {

constexpr std::size_t widest_line = 120;
constexpr std::size_t context_before_caret = 40;

bool is_harmful(char32_t c) {
    const bool control = c < 0x20U || (c >= 0x7FU && c <= 0x9FU);
    const bool line_break = c == 0x2028U || c == 0x2029U;
    const bool turns_direction = (c >= 0x202AU && c <= 0x202EU) || (c >= 0x2066U && c <= 0x2069U);
    return control || line_break || turns_direction;
}

// One character as it is shown, and the byte of the text where it starts.
struct Cell {
    std::size_t offset;
    std::string_view shown;
};

std::vector<Cell> cells_of(std::string_view text) {
    std::vector<Cell> cells;
    for (std::size_t at = 0; at < text.size();) {
        const CodePoint c = code_point(text, at);
        if (c.value == U'\t') {
            cells.push_back({at, " "});
        } else if (c.bytes == 0 || is_harmful(c.value)) {
            cells.push_back({at, "?"});
        } else {
            cells.push_back({at, text.substr(at, c.bytes)});
        }
        at += std::max<std::size_t>(c.bytes, 1);
    }
    return cells;
}

// The number of the first cell at or behind a byte.
std::size_t column_of(const std::vector<Cell>& cells, std::size_t offset) {
    const auto cell = std::ranges::lower_bound(cells, offset, {}, &Cell::offset);
    return static_cast<std::size_t>(cell - cells.begin());
}

}  // namespace

std::string printable(std::string_view text) {
    std::string shown;
    for (const Cell& cell : cells_of(text)) shown += cell.shown;
    return shown;
}

Underlined underline(std::string_view line, std::size_t from, std::size_t to) {
    const std::vector<Cell> cells = cells_of(line);
    const std::size_t caret = column_of(cells, from);
    const std::size_t caret_end = std::max(column_of(cells, to), caret + 1);

    std::size_t first = 0;
    std::size_t last = cells.size();
    if (cells.size() > widest_line) {
        first = caret > context_before_caret ? caret - context_before_caret : 0;
        first = std::min(first, cells.size() - widest_line);
        last = first + widest_line;
    }
    Underlined result;
    if (first > 0) result.line += "…";
    for (std::size_t k = first; k < last; ++k) result.line += cells[k].shown;
    if (last < cells.size()) result.line += "…";

    const std::size_t cut_mark = first > 0 ? 1 : 0;
    // A stretch that goes on behind the cut is underlined up to it.
    const std::size_t shown_end = std::max(std::min(caret_end, last), caret + 1);
    result.carets.assign(cut_mark + caret - first, ' ');
    result.carets += '^';
    result.carets.append(shown_end - caret - 1, '~');
    return result;
}

}  // namespace gapwright
