#include "bench/meter/reading_value.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <limits>
#include <string>
#include <string_view>

#include "bench/meter/measurement.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

std::string small_letters(std::string_view text) {
    std::string small(text);
    for (char& c : small) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + ('a' - 'A'));
    }
    return small;
}

std::string_view without_spaces_round(std::string_view text) {
    const std::size_t begin = std::min(text.find_first_not_of(" \t"), text.size());
    text.remove_prefix(begin);
    return text.substr(0, text.find_last_not_of(" \t") + 1);
}

bool says_over_range(std::string_view text) {
    const std::string small = small_letters(without_spaces_round(text));
    return small == "over range" || small == "over" || small == "ol" || small == "0l" ||
           small == "o.l" || small == "∞";
}

// The one comma of a number as a point; bytes stay where they are, so that places do.
TextExpected<std::string> with_decimal_point(std::string_view text) {
    std::string pointed(text);
    const std::size_t comma = pointed.find(',');
    if (comma == std::string::npos) return pointed;
    const std::size_t first = pointed.find_first_of(".,");
    const std::size_t second = pointed.find_first_of(".,", first + 1);
    if (second != std::string::npos) {
        return std::unexpected(
            TextError{.cause = Cause::not_a_quantity,
                      .begin = second,
                      .end = second + 1,
                      .message = "a number has one decimal sign, and none between thousands",
                      .remedy = "write for example 1200"});
    }
    pointed[comma] = '.';
    return pointed;
}

}  // namespace

TextExpected<double> parse_reading_value(std::string_view text, const Measurement& measurement) {
    const Dimension dimension = measurement.dimension();
    const bool powered = measurement.kind == MeasurementKind::voltage ||
                         measurement.kind == MeasurementKind::current;
    if (says_over_range(text)) {
        if (!powered) return std::numeric_limits<double>::infinity();
        return std::unexpected(TextError{
            .cause = Cause::out_of_range,
            .begin = 0,
            .end = text.size(),
            .message =
                fmt::format("{} over range says nothing of its value", dimension_name(dimension)),
            .remedy = "read it on a higher range, or leave the value empty"});
    }
    const auto pointed = with_decimal_point(text);
    if (!pointed) return std::unexpected(pointed.error());
    const auto value = parse_quantity(*pointed, dimension);
    if (value) return value;
    // "4.7k" and "4.7".
    const std::string_view bare = without_spaces_round(*pointed);
    auto plain = parse_quantity(fmt::format("{}{}", bare, dimension_unit(dimension)), dimension);
    if (plain) return plain;
    if (value.error().cause != Cause::missing_unit) return value;
    plain = parse_quantity(fmt::format("{} {}", *pointed, dimension_unit(dimension)), dimension);
    if (plain) return plain;
    // The unit that was added is no place in the text.
    plain.error().begin = std::min(plain.error().begin, text.size());
    plain.error().end = std::min(plain.error().end, text.size());
    return plain;
}

std::string reading_text(double value, Dimension dimension) {
    if (std::isinf(value)) return "over range";
    for (int digits = 1; digits <= std::numeric_limits<double>::max_digits10; ++digits) {
        std::string text = engineering_short(value, dimension, digits);
        if (const auto back = parse_quantity(text, dimension); back && *back == value) return text;
    }
    // Smaller than engineering text goes.
    return fmt::format("{} {}", value, dimension_unit(dimension));
}

}  // namespace gapwright
