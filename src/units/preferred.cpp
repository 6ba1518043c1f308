#include "units/preferred.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <fmt/format.h>

namespace gapwright {
namespace {

// IEC 60063:2015, table 1: these do not follow the rounding rule of the finer series.
constexpr std::array<double, 24> e24 = {1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0,
                                        2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3,
                                        4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1};

std::vector<double> every(int step) {
    std::vector<double> values;
    for (std::size_t k = 0; k < e24.size(); k += static_cast<std::size_t>(step)) {
        values.push_back(e24[k]);
    }
    return values;
}

std::vector<double> rounded(int count) {
    std::vector<double> values;
    for (int k = 0; k < count; ++k) {
        double value = std::round(100 * std::pow(10.0, k / static_cast<double>(count))) / 100;
        if (count == 192 && value == 9.19) value = 9.20;  // the standard's one exception
        values.push_back(value);
    }
    return values;
}

// The decade of `value`: the power of ten at or below it, and the value within it.
struct Decade {
    double scale;
    double mantissa;
};
Decade decade_of(double value) {
    const double scale = std::pow(10.0, std::floor(std::log10(value)));
    return {scale, value / scale};
}

constexpr double same = 1e-9;  // relative

}  // namespace

std::span<const double> preferred_values(Series series) {
    static const std::vector<double> s3 = every(8);
    static const std::vector<double> s6 = every(4);
    static const std::vector<double> s12 = every(2);
    static const std::vector<double> s48 = rounded(48);
    static const std::vector<double> s96 = rounded(96);
    static const std::vector<double> s192 = rounded(192);
    switch (series) {
        case Series::e3:
            return s3;
        case Series::e6:
            return s6;
        case Series::e12:
            return s12;
        case Series::e24:
            return e24;
        case Series::e48:
            return s48;
        case Series::e96:
            return s96;
        case Series::e192:
            break;
    }
    return s192;
}

PreferredNeighbours preferred_neighbours(double value, Series series) {
    const auto [scale, mantissa] = decade_of(value);
    const auto values = preferred_values(series);
    double below = values.back() * scale / 10;
    for (const double candidate : values) {
        const double here = candidate * scale;
        if (std::abs(here - value) <= same * value) return {here, here};
        if (here > value) return {below, here};
        below = here;
    }
    const double above = 10 * scale;
    if (std::abs(above - value) <= same * value) return {above, above};
    return {below, above};
}

double nearest_preferred(double value, Series series) {
    const auto [below, above] = preferred_neighbours(value, series);
    return value / below <= above / value ? below : above;
}

std::optional<LetterCode> parse_letter_code(std::string_view text) {
    struct Letter {
        char letter;
        double factor;
    };
    constexpr std::array<Letter, 6> multipliers = {
        {{'R', 1}, {'k', 1e3}, {'K', 1e3}, {'M', 1e6}, {'G', 1e9}, {'L', 1e-3}}};
    constexpr std::array<Letter, 8> tolerances = {{{'B', 0.001},
                                                   {'C', 0.0025},
                                                   {'D', 0.005},
                                                   {'F', 0.01},
                                                   {'G', 0.02},
                                                   {'J', 0.05},
                                                   {'K', 0.1},
                                                   {'M', 0.2}}};
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    std::size_t at = 0;
    std::string digits;
    while (at < text.size() && is_digit(text[at])) digits += text[at++];
    if (at >= text.size()) return std::nullopt;
    const auto multiplier = std::ranges::find(multipliers, text[at], &Letter::letter);
    if (multiplier == multipliers.end()) return std::nullopt;
    ++at;
    std::string fraction;
    while (at < text.size() && is_digit(text[at])) fraction += text[at++];
    if ((digits.empty() && fraction.empty()) || digits.size() + fraction.size() > 9) {
        return std::nullopt;
    }
    LetterCode code{std::strtod((digits + "." + fraction + "e0").c_str(), nullptr), {}};
    code.ohms *= multiplier->factor;
    if (at < text.size()) {
        const auto tolerance = std::ranges::find(tolerances, text[at], &Letter::letter);
        if (tolerance == tolerances.end() || at + 1 != text.size()) return std::nullopt;
        code.tolerance = tolerance->factor;
    }
    return code;
}

std::string letter_code(double ohms) {
    struct Step {
        double unit;
        char letter;
    };
    constexpr std::array<Step, 5> steps = {
        {{1e9, 'G'}, {1e6, 'M'}, {1e3, 'k'}, {1, 'R'}, {1e-3, 'L'}}};
    // Rounded first, so that 999.96 Ω becomes 1k and not 1000R.
    const double four = std::pow(10.0, std::floor(std::log10(ohms)) - 3);
    ohms = std::round(ohms / four) * four;
    auto step = std::ranges::find_if(steps, [&](const Step& s) { return ohms >= s.unit * 0.9999; });
    if (step == steps.end()) --step;
    if (step->letter == 'L' && ohms >= 0.01) --step;  // R47 is more usual than 470L
    std::string text = fmt::format("{:.6f}", ohms / step->unit);
    while (text.back() == '0') text.pop_back();
    const auto point = text.find('.');
    std::string whole = text.substr(0, point);
    if (whole == "0") whole.clear();
    return whole + step->letter + text.substr(point + 1);
}

}  // namespace gapwright
