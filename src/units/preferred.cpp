#include "units/preferred.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <span>

namespace gapwright {
namespace {

// IEC 60063:2015, table 1. These were settled before the rounding rule of the finer series, and
// some (2.7, 3.0, 3.3 … 8.2) do not follow it. E12, E6 and E3 take every second, fourth, eighth.
constexpr std::array<double, 24> e24 = {1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
                                        3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1};

template <std::size_t count>
std::array<double, count> thinned() {
    std::array<double, count> values{};
    for (std::size_t k = 0; k < count; ++k) values[k] = e24[k * (e24.size() / count)];
    return values;
}

template <std::size_t count>
std::array<double, count> by_rule() {
    std::array<double, count> values{};
    for (std::size_t k = 0; k < count; ++k) {
        const double exact = std::pow(10.0, static_cast<double>(k) / static_cast<double>(count));
        values[k] = std::round(100 * exact) / 100;
    }
    // The one value of E192 that the standard rounds otherwise, 10^(185/192) = 9.194.
    if constexpr (count == 192) values[185] = 9.20;
    return values;
}

// `value` times 10^exponent, as near as the value's two decimals allow.
double scaled(double value, int exponent) {
    const double hundredths = std::round(100 * value);
    // A power of ten above one is exact, unlike 0.1 and its like; but it must not overflow.
    const bool divides = exponent < 2 && exponent > -290;
    return divides ? hundredths / std::pow(10.0, 2 - exponent)
                   : hundredths * std::pow(10.0, exponent - 2);
}

}  // namespace

std::span<const double> preferred_values(Series series) {
    static const auto e3 = thinned<3>();
    static const auto e6 = thinned<6>();
    static const auto e12 = thinned<12>();
    static const auto e48 = by_rule<48>();
    static const auto e96 = by_rule<96>();
    static const auto e192 = by_rule<192>();
    switch (series) {
        case Series::e3:
            return e3;
        case Series::e6:
            return e6;
        case Series::e12:
            return e12;
        case Series::e24:
            return e24;
        case Series::e48:
            return e48;
        case Series::e96:
            return e96;
        case Series::e192:
            break;
    }
    return e192;
}

PreferredNeighbours preferred_neighbours(double value, Series series) {
    constexpr double same = 1e-9;
    const int exponent = static_cast<int>(std::floor(std::log10(value)));
    const std::span<const double> values = preferred_values(series);
    double below = scaled(values.back(), exponent - 1);
    for (const double candidate : values) {
        const double here = scaled(candidate, exponent);
        if (std::abs(here - value) <= same * value) return {.below = here, .above = here};
        if (here > value) return {.below = below, .above = here};
        below = here;
    }
    const double next = scaled(values.front(), exponent + 1);
    if (next - value <= same * value) return {.below = next, .above = next};
    return {.below = below, .above = next};
}

double nearest_preferred(double value, Series series) {
    const auto [below, above] = preferred_neighbours(value, series);
    return value / below <= above / value ? below : above;
}

}  // namespace gapwright
