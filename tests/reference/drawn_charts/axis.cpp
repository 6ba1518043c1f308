#include <algorithm>
#include <cmath>

#include "reference/drawn_charts/truth_curves.hpp"

namespace gapwright::drawn_charts {

double Axis::share(double value) const {
    if (!logarithmic) return (value - from) / (to - from);
    return std::log(std::max(value, 1e-300) / from) / std::log(to / from);
}

double Axis::value(double share) const {
    return logarithmic ? from * std::pow(to / from, share) : from + share * (to - from);
}

std::vector<double> Axis::labels() const {
    std::vector<double> all;
    if (logarithmic) {
        for (double at = from; at < to * 1.001; at *= 10) all.push_back(at);
    } else {
        const int steps = static_cast<int>(std::lround((to - from) / step));
        for (int i = 0; i <= steps; ++i) all.push_back(from + i * step);
    }
    return all;
}

}  // namespace gapwright::drawn_charts
