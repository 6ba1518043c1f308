#include "units/decimal.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>

namespace gapwright {

Decimal rounded(double value, int digits) {
    const std::string text = fmt::format("{:.{}e}", value, digits - 1);  // "1.986e-02"
    const std::size_t mark = text.find('e');
    Decimal decimal;
    for (const char c : text.substr(0, mark)) {
        if (c != '.') decimal.digits += c;
    }
    const std::size_t first = mark + (text[mark + 1] == '+' ? 2 : 1);
    std::from_chars(text.data() + first, text.data() + text.size(), decimal.exponent);
    return decimal;
}

std::string positional(const Decimal& decimal, int shift) {
    const int before_point = decimal.exponent - shift + 1;  // digits; none or fewer: leading zeros
    if (before_point <= 0) {
        return "0." + std::string(static_cast<std::size_t>(-before_point), '0') + decimal.digits;
    }
    const auto whole = static_cast<std::size_t>(before_point);
    if (whole >= decimal.digits.size()) {
        return decimal.digits + std::string(whole - decimal.digits.size(), '0');
    }
    return decimal.digits.substr(0, whole) + '.' + decimal.digits.substr(whole);
}

std::optional<double> decimal_value(std::string_view mantissa, int exponent) {
    const std::string text = fmt::format("{}e{}", mantissa, exponent);
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return value;
}

}  // namespace gapwright
