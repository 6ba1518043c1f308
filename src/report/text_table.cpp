#include "report/text_table.hpp"

#include <algorithm>

namespace gapwright {

std::size_t width_of(std::string_view text) {
    return static_cast<std::size_t>(std::ranges::count_if(
        text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
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
