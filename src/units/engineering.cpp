#include "units/engineering.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <string_view>
#include <utility>

#include "units/decimal.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

constexpr std::string_view minus_sign = "\u2212";
constexpr double counts_as_zero = 1e-15;
constexpr double hour = 3600;
constexpr double year = 365.25 * 24 * hour;

// How a number stands before its unit.
enum class Style {
    prefixed,        // 19.9 mA
    plain,           // 1.12 eV; very large and very small ones with an exponent
    seconds,         // prefixed below a second, plain above
    per_time,        // 25 V/µs: the prefix goes to the time
    degrees_celsius  // at most one decimal
};

struct Shown {
    double value;  // in `unit`
    std::string_view unit;
    Style style;
};

Shown shown(double value, Dimension dimension) {
    const std::string_view unit = dimension_unit(dimension);
    switch (dimension) {
        case Dimension::temperature:
            return {value - 273.15, unit, Style::degrees_celsius};
        case Dimension::angle:
            return {value * (180 / std::numbers::pi), unit, Style::plain};
        case Dimension::per_temperature:
        case Dimension::per_voltage:
            return {100 * value, unit, Style::plain};  // in %/K and %/V
        case Dimension::ratio:
        case Dimension::energy:
            return {value, unit, Style::plain};
        case Dimension::time:
            if (std::abs(value) >= 2 * year) return {value / year, "years", Style::plain};
            if (std::abs(value) >= hour) return {value / hour, "h", Style::plain};
            return {value, unit, Style::seconds};
        case Dimension::voltage_rate:
            return {value, unit, Style::per_time};
        case Dimension::voltage:
        case Dimension::current:
        case Dimension::resistance:
        case Dimension::power:
        case Dimension::capacitance:
        case Dimension::inductance:
        case Dimension::frequency:
        case Dimension::signalling_rate:
        case Dimension::illuminance:
        case Dimension::irradiance:
        case Dimension::luminous_intensity:
        case Dimension::radiant_intensity:
        case Dimension::length:
        case Dimension::transconductance:
        case Dimension::voltage_per_temperature:
            break;
    }
    return {value, unit, Style::prefixed};
}

struct Prefix {
    int exponent;
    std::string_view text;
    std::string_view rate_unit;  // of a rate of voltage
};
constexpr auto prefixes = std::to_array<Prefix>({{-12, "p", "pV/s"},
                                                 {-9, "n", "nV/s"},
                                                 {-6, "µ", "µV/s"},
                                                 {-3, "m", "mV/s"},
                                                 {0, "", "V/s"},
                                                 {3, "k", "V/ms"},
                                                 {6, "M", "V/µs"},
                                                 {9, "G", "V/ns"}});

const Prefix& prefix_for(int exponent, Style style) {
    const int largest = style == Style::seconds ? 0 : prefixes.back().exponent;
    const Prefix* chosen = &prefixes.front();
    for (const Prefix& prefix : prefixes) {
        if (prefix.exponent <= exponent && prefix.exponent <= largest) chosen = &prefix;
    }
    return *chosen;
}

std::string without_trailing_zeros(std::string number) {
    if (number.find('.') == std::string::npos) return number;
    number.erase(number.find_last_not_of('0') + 1);
    if (number.back() == '.') number.pop_back();
    return number;
}

enum class Zeros { kept, dropped };

std::string finished(std::string number, Zeros zeros) {
    return zeros == Zeros::kept ? number : without_trailing_zeros(std::move(number));
}

// The digits divided by 10^shift, with an exponent where a row of zeros would be hard to count.
std::string number(const Decimal& decimal, int shift, Zeros zeros) {
    const int exponent = decimal.exponent - shift;
    if (exponent >= -5 && exponent <= 8) return finished(positional(decimal, shift), zeros);
    return fmt::format("{}e{}", finished(positional(decimal, decimal.exponent), zeros), exponent);
}

// Temperatures: no more than one decimal, none where `digits` leaves none.
std::string celsius(double size, int digits, Zeros zeros) {
    const int decimals = std::round(10 * size) < std::pow(10.0, digits) ? 1 : 0;
    return finished(fmt::format("{:.{}f}", size, decimals), zeros);
}

std::string size_with_unit(const Shown& s, int digits, Zeros zeros) {
    const double size = std::abs(s.value);
    if (std::isinf(size)) return fmt::format("∞ {}", s.unit);
    if (s.style == Style::degrees_celsius) {
        return fmt::format("{} {}", celsius(size, digits, zeros), s.unit);
    }
    const Decimal decimal = rounded(size, digits);
    if (s.style == Style::plain) return fmt::format("{} {}", number(decimal, 0, zeros), s.unit);
    const Prefix& prefix = prefix_for(decimal.exponent, s.style);
    const std::string size_text = number(decimal, prefix.exponent, zeros);
    if (s.style == Style::per_time) return fmt::format("{} {}", size_text, prefix.rate_unit);
    return fmt::format("{} {}{}", size_text, prefix.text, s.unit);
}

std::string text_of(double value, Dimension dimension, int digits, Zeros zeros) {
    if (std::isnan(value)) return "n/a";
    digits = std::clamp(digits, 1, 17);
    const Shown s = shown(value, dimension);
    const bool nothing = s.style != Style::degrees_celsius && std::abs(value) < counts_as_zero;
    std::string text = nothing ? fmt::format("0 {}", s.unit) : size_with_unit(s, digits, zeros);
    // What is shown as zero has no sign.
    if (s.value < 0 && !text.starts_with("0 ") && !text.starts_with("0.0 ")) {
        text.insert(0, minus_sign);
    }
    if (s.unit.empty()) text.pop_back();  // the space before it
    return text;
}

}  // namespace

std::string engineering(double value, Dimension dimension, int digits) {
    return text_of(value, dimension, digits, Zeros::kept);
}

std::string metered(double value, Dimension dimension, int digits) {
    double least = 0;
    if (dimension == Dimension::current) least = 1e-9;
    if (dimension == Dimension::voltage) least = 1e-5;
    if (!(std::abs(value) < least)) return engineering(value, dimension, digits);
    return value == 0 ? "none" : "below " + engineering_short(least, dimension);
}

std::string engineering_short(double value, Dimension dimension, int digits) {
    return text_of(value, dimension, digits, Zeros::dropped);
}

std::string engineering_range(double low, double high, Dimension dimension, int digits) {
    const std::string from = engineering_short(low, dimension, digits);
    std::string to = engineering_short(high, dimension, digits);
    if (from == to) return to;
    const auto unit_at = [](const std::string& text) {
        return std::min(text.find(' '), text.size());
    };
    const std::string number = from.substr(0, unit_at(from));
    const bool same_unit = from.substr(unit_at(from)) == to.substr(unit_at(to));
    return fmt::format("{} … {}", same_unit || number == "0" ? number : from, to);
}

std::string percent(double ratio, int digits) {
    const Dimension dimension = Dimension::ratio;
    std::string number = text_of(100 * ratio, dimension, digits, Zeros::dropped);
    if (number == "n/a") return number;
    // A share that is not whole is never rounded until it looks whole.
    for (int more = digits + 1; number == "100" && ratio < 1 && more <= 17; ++more) {
        number = text_of(100 * ratio, dimension, more, Zeros::dropped);
    }
    return number + " %";
}

}  // namespace gapwright
