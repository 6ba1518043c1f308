// Tables for a terminal. Internal to the layer.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace gapwright {

// Characters as a terminal shows them; source/terminal_text.hpp.
std::size_t width_of(std::string_view text);

// A table whose columns are as wide as their widest cell.
class Table {
  public:
    using Row = std::vector<std::string>;

    // `right` says for each column whether it is set to the right, as numbers are; `indent` is put
    // before every line.
    explicit Table(std::vector<bool> right, std::string indent = " ")
        : right_(std::move(right)), indent_(std::move(indent)) {}

    void add(Row row);  // line ends in a cell are made visible
    bool empty() const { return rows_.empty(); }

    // Lines end with '\n' and with no blanks before it.
    std::string text() const;

  private:
    std::vector<bool> right_;
    std::string indent_;
    std::vector<Row> rows_;
};

}  // namespace gapwright
