#include "population/long_factors.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace gapwright::testing_support {

using Part = long double;

// Rows are scaled, since amperes of femtosiemens stand beside volts; then partial pivoting.
Factors::Factors(std::vector<std::vector<Part>> matrix)
    : rows_(std::move(matrix)), scale_(rows_.size()), order_(rows_.size()) {
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    const auto size = [](Part a, Part b) { return std::abs(a) < std::abs(b); };
    for (std::size_t k = 0; k < rows_.size(); ++k) {
        scale_[k] = std::abs(*std::ranges::max_element(rows_[k], size));
        // A node between blocked devices stays where it is.
        if (scale_[k] == 0) rows_[k][k] = scale_[k] = 1;
        for (Part& entry : rows_[k]) entry /= scale_[k];
    }
    for (std::size_t k = 0; k < rows_.size(); ++k) {
        std::size_t best = k;
        for (std::size_t r = k + 1; r < rows_.size(); ++r) {
            if (size(rows_[best][k], rows_[r][k])) best = r;
        }
        std::swap(rows_[k], rows_[best]);
        std::swap(order_[k], order_[best]);
        for (std::size_t r = k + 1; r < rows_.size(); ++r) {
            const Part factor = rows_[r][k] /= rows_[k][k];
            for (std::size_t c = k + 1; c < rows_.size(); ++c) rows_[r][c] -= factor * rows_[k][c];
        }
    }
}

std::vector<long double> Factors::solve(const std::vector<Part>& right) const {
    std::vector<Part> x(right.size());
    for (std::size_t k = 0; k < x.size(); ++k) {
        x[k] = right[order_[k]] / scale_[order_[k]];
        for (std::size_t c = 0; c < k; ++c) x[k] -= rows_[k][c] * x[c];
    }
    for (std::size_t k = x.size(); k-- > 0;) {
        for (std::size_t c = k + 1; c < x.size(); ++c) x[k] -= rows_[k][c] * x[c];
        x[k] /= rows_[k][k];
    }
    return x;
}

}  // namespace gapwright::testing_support
