#include "reference/drawn_charts/points_table.hpp"

#include <cmath>
#include <cstdlib>
#include <limits>
#include <map>
#include <sstream>
#include <stdexcept>

namespace gapwright::drawn_charts {
namespace {

std::vector<std::string> cells(const std::string& line) {
    std::vector<std::string> all;
    std::istringstream stream(line.substr(0, line.find('\r')));
    std::string cell;
    while (std::getline(stream, cell, ',')) all.push_back(cell);
    return all;
}

}  // namespace

double unit_size(const std::string& unit) {
    static const std::map<std::string, double> sizes{
        {"", 1},      {"V", 1},     {"mV", 1e-3},  {"µV", 1e-6}, {"A", 1},  {"mA", 1e-3},
        {"µA", 1e-6}, {"nA", 1e-9}, {"pA", 1e-12}, {"%", 0.01},  {"°C", 1}, {"lx", 1},
        {"klx", 1e3}, {"Ω", 1},     {"kΩ", 1e3},   {"MΩ", 1e6}};
    const auto found = sizes.find(unit);
    if (found == sizes.end()) throw std::runtime_error("unit unknown to this check: " + unit);
    return found->second;
}

PointsTable::PointsTable(const std::string& text) {
    std::istringstream stream(text);
    std::string line;
    if (!std::getline(stream, line)) return;
    for (const std::string& cell : cells(line)) {
        const auto bracket = cell.find(" (");
        names_.push_back(cell.substr(0, bracket));
        sizes_.push_back(bracket == std::string::npos
                             ? 1
                             : unit_size(cell.substr(bracket + 2, cell.size() - bracket - 3)));
    }
    while (std::getline(stream, line)) {
        std::vector<double> row;
        for (const std::string& cell : cells(line)) {
            row.push_back(cell.empty() ? std::numeric_limits<double>::quiet_NaN()
                                       : std::strtod(cell.c_str(), nullptr));
        }
        if (!row.empty()) rows_.push_back(std::move(row));
    }
}

double PointsTable::at(std::size_t row, const std::string& quantity) const {
    for (std::size_t i = 0; i < names_.size() && i < rows_[row].size(); ++i) {
        if (names_[i] == quantity) return rows_[row][i] * sizes_[i];
    }
    return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace gapwright::drawn_charts
