#include "time/harmonics.hpp"

#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <span>

namespace gapwright {

Harmonics harmonics_of(std::span<const double> period) {
    const std::size_t samples = period.size();
    const double angle = 2 * std::numbers::pi / static_cast<double>(samples);
    double mean = 0;
    for (const double value : period) mean += value / static_cast<double>(samples);
    const auto peak = [&](std::size_t harmonic) {
        std::complex<double> sum = 0;
        for (std::size_t k = 0; k < samples; ++k) {
            const auto turns = static_cast<double>(harmonic * k % samples);
            sum += (period[k] - mean) * std::polar(1.0, -angle * turns);
        }
        return 2 * std::abs(sum) / static_cast<double>(samples);
    };
    Harmonics result{.fundamental = peak(1)};
    double squares = 0;
    for (std::size_t h = 2; 2 * h < samples; ++h) {
        const double share = peak(h) / result.fundamental;
        if (h == 2) result.second = share;
        if (h == 3) result.third = share;
        squares += share * share;
    }
    result.total = std::sqrt(squares);
    return result;
}

}  // namespace gapwright
