#include "source/display.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "source/harmful.hpp"

namespace gapwright {
namespace {

constexpr std::size_t widest_line = 120;
constexpr std::size_t context_before_caret = 40;

// One character as it is shown, and the byte of the text where it starts.
struct Cell {
    std::size_t offset;
    std::string shown;
    std::size_t width;  // characters in `shown`
};

std::vector<Cell> cells_of(std::string_view text) {
    std::vector<Cell> cells;
    for (std::size_t at = 0; at < text.size();) {
        Visible next = visible(text, at);
        if (text[at] == '\t') next = {.shown = " "};
        cells.push_back({at, std::move(next.shown), next.width});
        at += next.bytes;
    }
    return cells;
}

// The number of the first cell at or behind a byte.
std::size_t column_of(const std::vector<Cell>& cells, std::size_t offset) {
    const auto cell = std::ranges::lower_bound(cells, offset, {}, &Cell::offset);
    return static_cast<std::size_t>(cell - cells.begin());
}

// Of the cells [from, to), those behind the last being one wide.
std::size_t width_of(const std::vector<Cell>& cells, std::size_t from, std::size_t to) {
    std::size_t width = 0;
    for (std::size_t k = from; k < to; ++k) width += k < cells.size() ? cells[k].width : 1;
    return width;
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
    result.carets.assign(cut_mark + width_of(cells, first, caret), ' ');
    result.carets += '^';
    result.carets.append(width_of(cells, caret, shown_end) - 1, '~');
    return result;
}

}  // namespace gapwright
