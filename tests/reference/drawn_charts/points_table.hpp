// The columns of points as docs/files.md tells them, in SI units.
#pragma once

#include <string>
#include <vector>

namespace gapwright::drawn_charts {

double unit_size(const std::string& unit);

class PointsTable {
  public:
    explicit PointsTable(const std::string& text);
    // NaN where there is no such column or no number.
    double at(std::size_t row, const std::string& quantity) const;
    std::size_t rows() const { return rows_.size(); }

  private:
    std::vector<std::string> names_;
    std::vector<double> sizes_;
    std::vector<std::vector<double>> rows_;
};

}  // namespace gapwright::drawn_charts
