#include "units/engineering.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace gapwright {
namespace {

constexpr std::string_view minus_sign = "\xE2\x88\x92";
constexpr double nothing = 1e-15;  // smaller counts as zero
constexpr double hour = 3600;
constexpr double year = 365.25 * 86400;

constexpr std::array<std::string_view, 8> prefixes = {"p", "n", "µ", "m", "", "k", "M", "G"};
constexpr int first_exponent = -12;  // of the first prefix

// What is printed: a number in a unit, with or without prefixes.
struct Printed {
    double value;
    std::string_view unit;
    bool prefixes = true;
    int most_decimals = 9;
};

Printed printed(double value, Dimension dimension) {
    switch (dimension) {
        case Dimension::temperature:
            return {value - 273.15, "°C", false, 1};
        case Dimension::angle:
            return {value * 180 / std::numbers::pi, "°", false, 1};
        case Dimension::ratio:
        case Dimension::energy:
        case Dimension::per_temperature:
        case Dimension::per_voltage:
            return {value, dimension_unit(dimension), false};
        case Dimension::time:
            if (std::abs(value) >= 2 * year) return {value / year, "years", false};
            if (std::abs(value) >= hour) return {value / hour, "h", false};
            return {value, "s"};
        default:
            return {value, dimension_unit(dimension)};
    }
}

std::string fixed(double value, int digits, int most_decimals) {
    const double size = std::abs(value);
    const int before = size < 1e-300 ? 1 : static_cast<int>(std::floor(std::log10(size))) + 1;
    const int decimals = std::clamp(digits - before, 0, most_decimals);
    return fmt::format("{:.{}f}", size, decimals);
}

std::string without_trailing_zeros(std::string text) {
    if (text.find('.') == std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

std::string assembled(double value, Dimension dimension, int digits, bool trailing_zeros) {
    if (std::isnan(value)) return "n/a";
    Printed p = printed(value, dimension);
    const std::string sign(p.value < 0 ? minus_sign : "");
    if (std::isinf(p.value)) return sign + "∞";
    if (std::abs(p.value) < nothing) {
        return p.unit.empty() ? "0" : fmt::format("0 {}", p.unit);
    }
    std::string_view prefix;
    double shown = std::abs(p.value);
    if (p.prefixes) {
        // Rounded to the digits shown before the prefix is chosen: 999.96 Ω is 1.00 kΩ.
        const double step = std::pow(10.0, std::floor(std::log10(shown)) - digits + 1);
        const double rounded = std::round(shown / step) * step;
        const int exponent = static_cast<int>(std::floor(std::log10(rounded * (1 + 1e-12)) / 3)) * 3;
        const int index = std::clamp((exponent - first_exponent) / 3, 0,
                                     static_cast<int>(prefixes.size()) - 1);
        prefix = prefixes[static_cast<std::size_t>(index)];
        shown /= std::pow(10.0, first_exponent + 3 * index);
    }
    // Rounding may add a digit before the point, 9.999 becoming 10.00.
    std::string number = fixed(shown, digits, p.most_decimals);
    number = fixed(std::strtod(number.c_str(), nullptr), digits, p.most_decimals);
    if (!trailing_zeros || dimension == Dimension::temperature) {
        number = without_trailing_zeros(number);
    }
    // A value that its decimals do not show has no sign either.
    const bool zero = number.find_first_not_of("0.") == std::string::npos;
    const std::string unit = std::string(prefix) + std::string(p.unit);
    return (zero ? "" : sign) + number + (unit.empty() ? "" : " " + unit);
}

}  // namespace

std::string engineering(double value, Dimension dimension, int digits) {
    return assembled(value, dimension, digits, true);
}

std::string engineering_short(double value, Dimension dimension, int digits) {
    return assembled(value, dimension, digits, false);
}

std::string percent(double ratio, int digits) {
    std::string number = without_trailing_zeros(fixed(100 * ratio, digits, 9));
    // A share that is not whole is never rounded up to look whole.
    while (number == "100" && ratio < 1 && digits < 12) {
        number = without_trailing_zeros(fixed(100 * ratio, ++digits, 9));
    }
    return fmt::format("{} %", number);
}

}  // namespace gapwright
