#include "units/amount.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "source/diagnostics.hpp"
#include "units/decimal.hpp"
#include "units/dimension.hpp"
#include "units/preferred.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"
#include "units/unit_table.hpp"
#include "units/unit_words.hpp"

namespace gapwright {
namespace {

bool starts_with_digit(std::string_view text) {
    return !text.empty() && text.front() >= '0' && text.front() <= '9';
}

// Numbers as other places write them, which would otherwise be read in part.
std::optional<TextError> foreign_number(const TextScanner& scanner, const WrittenNumber& number) {
    const std::string_view rest = scanner.rest();
    const auto error = [&](std::size_t end, std::string message, std::string remedy) {
        return TextError{.cause = Cause::not_a_quantity,
                         .begin = number.place.begin,
                         .end = end,
                         .message = std::move(message),
                         .remedy = std::move(remedy)};
    };
    if (rest.starts_with(',') && starts_with_digit(rest.substr(1))) {
        const std::size_t digits = std::min(rest.find_first_not_of("0123456789", 1), rest.size());
        const std::string_view decimals = rest.substr(1, digits - 1);
        return error(scanner.at() + digits, "a point, not a comma, stands before decimals",
                     fmt::format("write {}.{}", scanner.text(number.place), decimals));
    }
    if ((rest.starts_with('x') || rest.starts_with('X')) && number.mantissa == "0") {
        return error(scanner.at() + 1, "numbers are written with decimal digits", "");
    }
    if (rest.starts_with('/') && starts_with_digit(rest.substr(1))) {
        const std::size_t digits = std::min(rest.find_first_not_of("0123456789", 1), rest.size());
        return error(scanner.at() + digits, "a fraction is written as a decimal number",
                     "write for example 0.25");
    }
    return std::nullopt;
}

}  // namespace

std::unexpected<TextError> refused(Cause cause, TextStretch place, std::string message,
                                   std::string remedy) {
    return std::unexpected(TextError{.cause = cause,
                                     .begin = place.begin,
                                     .end = place.end,
                                     .message = std::move(message),
                                     .remedy = std::move(remedy)});
}

std::string write_for_example(Dimension dimension) {
    return fmt::format("write for example {}", dimension_example(dimension));
}

TextExpected<Amount> read_amount(TextScanner& scanner, Dimension dimension) {
    scanner.pass_spaces();
    Amount amount{.place = {.begin = scanner.at(), .end = scanner.at()},
                  .number = {},
                  .unit = {},
                  .code = {}};
    if (dimension == Dimension::resistance) {
        TextScanner ahead = scanner;
        amount.place = ahead.word();
        amount.code = parse_letter_code(ahead.text(amount.place));
        if (amount.code) {
            scanner = ahead;
            return amount;
        }
    }
    const auto number = scanner.number();
    if (!number) {
        TextStretch found = scanner.word();
        if (found.empty()) found = scanner.remainder();
        const std::string_view text = scanner.text(found);
        return refused(
            Cause::not_a_quantity, found,
            text.empty() ? fmt::format("{} is missing here", dimension_name(dimension))
                         : fmt::format("{} is not {}", in_quotes(text), dimension_name(dimension)),
            write_for_example(dimension));
    }
    if (auto error = foreign_number(scanner, *number)) return std::unexpected(*std::move(error));
    amount.number = *number;
    amount.place = number->place;
    TextScanner ahead = scanner;
    ahead.pass_spaces();
    const TextStretch unit = ahead.word();
    if (!unit.empty() && ahead.text(unit) != "at") {
        amount.unit = ahead.text(unit);
        amount.place.end = unit.end;
        scanner = ahead;
    }
    if (starts_with_digit(amount.unit) && !amount.unit.starts_with("1/")) {
        return refused(Cause::not_a_quantity, amount.place, "the digits of a number stand together",
                       write_for_example(dimension));
    }
    return amount;
}

TextExpected<void> read_end(TextScanner& scanner, Dimension dimension) {
    if (scanner.at_end()) return {};
    const TextStretch left_over = scanner.remainder();
    return refused(Cause::not_a_quantity, left_over,
                   fmt::format("{} is not expected here", in_quotes(scanner.text(left_over))),
                   write_for_example(dimension));
}

TextExpected<double> in_range(double value, Dimension dimension, TextStretch place) {
    std::string message;
    if (!std::isfinite(value)) {
        message = "this is more than can be reckoned with";
    } else if (value < 0 && dimension == Dimension::temperature) {
        message = "this is below absolute zero";
    } else if (value < 0 && dimension_row(dimension).sign == Sign::never_negative) {
        message = fmt::format("{} is never below zero", dimension_name(dimension));
    } else {
        return value;
    }
    return refused(Cause::out_of_range, place, std::move(message), write_for_example(dimension));
}

namespace {

// The meaning of a unit's text, or the error that it has none here.
TextExpected<UnitMeaning> meaning_of(const Amount& amount, Dimension dimension,
                                     std::string_view unit) {
    const DimensionRow& row = dimension_row(dimension);
    if (unit.empty() && dimension == Dimension::ratio) return UnitMeaning{.dimension = dimension};
    if (unit.empty()) {
        return refused(Cause::missing_unit, amount.place, fmt::format("{} needs a unit", row.name),
                       write_for_example(dimension));
    }
    const auto meaning = unit_meaning(unit, dimension);
    if (meaning && meaning->dimension == dimension) return *meaning;
    const std::string what = meaning && meaning->main_unit
                                 ? std::string(dimension_row(meaning->dimension).words)
                                 : in_quotes(unit);
    // The right unit in other words is not a wrong one.
    if (const auto meant = readings_of_unit(unit, dimension);
        !meaning && meant.size() == 1 && !meant.front().converted()) {
        return refused(Cause::wrong_unit, amount.place,
                       fmt::format("{} is written {}", in_quotes(unit), in_quotes(meant[0].unit)),
                       write_for_example(dimension));
    }
    std::string message = fmt::format("{} is {}, not {}", row.name, row.stated, what);
    if (const std::string near = nearest_unit(unit, dimension); !meaning && !near.empty()) {
        message += fmt::format(" (did you mean \"{}\"?)", near);
    }
    return refused(Cause::wrong_unit, amount.place, std::move(message),
                   write_for_example(dimension));
}

enum class Counted { from_zero, as_difference };

TextExpected<double> value_in(const Amount& amount, Dimension dimension, std::string_view unit,
                              Counted counted) {
    const auto meaning = meaning_of(amount, dimension, unit);
    if (!meaning) return std::unexpected(meaning.error());
    const auto size =
        decimal_value(amount.number.mantissa, amount.number.exponent + meaning->exponent);
    if (!size) {
        return refused(Cause::out_of_range, amount.place,
                       "this is more, or nearer to zero, than can be reckoned with",
                       write_for_example(dimension));
    }
    const double value = (amount.number.negative ? -*size : *size) * meaning->factor;
    if (counted == Counted::from_zero) {
        return in_range(value + meaning->offset, dimension, amount.place);
    }
    if (value >= 0) return value;
    return refused(Cause::out_of_range, amount.place, "a tolerance is never below zero",
                   "write for example \"± 5 %\"");
}

}  // namespace

TextExpected<double> value_of(const Amount& amount, Dimension dimension, std::string_view unit) {
    if (amount.code) return amount.code->ohms;
    return value_in(amount, dimension, amount.unit.empty() ? unit : amount.unit,
                    Counted::from_zero);
}

TextExpected<double> value_of(const Amount& amount, Dimension dimension) {
    return value_of(amount, dimension, "");
}

TextExpected<double> difference_of(const Amount& amount, Dimension dimension) {
    if (amount.code) return amount.code->ohms;
    return value_in(amount, dimension, amount.unit, Counted::as_difference);
}

}  // namespace gapwright
