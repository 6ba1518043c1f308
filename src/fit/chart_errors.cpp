#include "fit/chart_errors.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <map>
#include <utility>
#include <vector>

#include "fit/observation.hpp"

namespace gapwright {

std::vector<std::vector<double>> chart_errors(const std::vector<Observation>& observations) {
    // Points stand in the order in which they lie along their curve.
    std::map<std::pair<std::size_t, int>, std::vector<std::size_t>> curves;
    for (std::size_t k = 0; k < observations.size(); ++k) {
        const Observation& o = observations[k];
        if (o.shared_uncertainty > 0) curves[{o.chart, o.curve}].push_back(k);
    }
    constexpr std::size_t shapes = 3;
    std::map<std::size_t, std::array<std::vector<double>, shapes>> by_chart;
    for (const auto& [which, points] : curves) {
        auto& errors = by_chart[which.first];
        for (auto& error : errors) error.resize(observations.size());
        for (std::size_t k = 0; k < points.size(); ++k) {
            const double along =
                points.size() < 2
                    ? 0.0
                    : 2.0 * static_cast<double>(k) / static_cast<double>(points.size() - 1) - 1.0;
            // Two marks of equal error make the first two of a straight curve; the bend is what a
            // crooked one adds, to the careful side.
            constexpr double bend = 0.7;  // own choice
            const std::array<double, shapes> shape = {1, along,
                                                      bend * 0.5 * (3 * along * along - 1)};
            const double square = 1 + along * along;
            const double stated = observations[points[k]].shared_uncertainty;
            for (std::size_t j = 0; j < shapes; ++j) {
                errors[j][points[k]] = stated * shape[j] / std::sqrt(square);
            }
        }
    }
    std::vector<std::vector<double>> all;
    for (auto& [chart, errors] : by_chart) {
        for (auto& error : errors) all.push_back(std::move(error));
    }
    return all;
}

}  // namespace gapwright
