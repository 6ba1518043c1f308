#include "report/text/text_table.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "source/terminal_text.hpp"

namespace gapwright {

std::size_t width_of(std::string_view text) {
    return shown_width(text);
}

void Table::add(Row row) {
    for (auto& cell : row) cell = in_one_line(cell);
    rows_.push_back(std::move(row));
}

std::string Table::text() const {
    std::vector<std::size_t> widths(right_.size(), 0);
    for (const auto& row : rows_) {
        for (std::size_t c = 0; c < row.size(); ++c) {
            widths[c] = std::max(widths[c], width_of(row[c]));
        }
    }
    std::string text;
    for (const auto& row : rows_) {
        std::string line = indent_;
        for (std::size_t c = 0; c < row.size(); ++c) {
            const std::string gap(widths[c] - width_of(row[c]), ' ');
            line += right_[c] ? " " + gap + row[c] + " " : " " + row[c] + gap + " ";
        }
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + "\n";
    }
    return text;
}

}  // namespace gapwright
