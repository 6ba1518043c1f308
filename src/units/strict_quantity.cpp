#include "units/strict_quantity.hpp"

#include <fmt/format.h>

#include <cmath>
#include <expected>
#include <span>
#include <string_view>

#include "source/diagnostics.hpp"
#include "units/amount.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"

namespace gapwright {
namespace {

// What a spread consists of so far, with the bytes it takes.
struct Limits {
    double lowest;
    double highest;
    TextStretch place;
};

TextExpected<Spread> checked(double nominal, const Limits& limits, TextStretch whole) {
    if (limits.lowest > limits.highest) {
        return refused(Cause::empty_spread, limits.place, "the lower limit lies above the upper",
                       "write the lower limit first");
    }
    if (nominal < limits.lowest || nominal > limits.highest) {
        return refused(Cause::empty_spread, whole, "the nominal lies outside its limits",
                       "the limits stand in the same unit as the nominal, the lower first");
    }
    return Spread{.nominal = nominal, .lowest = limits.lowest, .highest = limits.highest};
}

// A letter for the tolerance says what only a spread may say, and says it once.
TextExpected<void> without_tolerance_letter(const Amount& amount, std::string_view remedy) {
    if (!amount.code || !amount.code->tolerance) return {};
    return refused(Cause::not_a_quantity, amount.place,
                   "the last letter gives a tolerance, which has no place here",
                   std::string(remedy));
}

// ".. UPPER" after the lower limit. A lower limit without a unit has the upper one's.
TextExpected<Limits> read_upper(TextScanner& scanner, const Amount& lower, Dimension dimension) {
    const auto upper = read_amount(scanner, dimension);
    if (!upper) return std::unexpected(upper.error());
    for (const Amount* limit : {&lower, &*upper}) {
        const auto plain = without_tolerance_letter(*limit, "leave the letter out");
        if (!plain) return std::unexpected(plain.error());
    }
    // "80 % .. 160" would be read as 0.8 to 160.
    if (!lower.unit.empty() && upper->unit.empty() && !upper->code) {
        return refused(Cause::missing_unit, upper->place, "the upper limit needs the unit",
                       fmt::format("write {} {}", scanner.text(upper->number.place), lower.unit));
    }
    const auto highest = value_of(*upper, dimension);
    if (!highest) return std::unexpected(highest.error());
    const auto lowest = value_of(lower, dimension, upper->unit);
    if (!lowest) return std::unexpected(lowest.error());
    return Limits{.lowest = *lowest,
                  .highest = *highest,
                  .place = {.begin = lower.place.begin, .end = upper->place.end}};
}

// "(LOWER .. UPPER)" behind its opening bracket.
TextExpected<Limits> read_bracket(TextScanner& scanner, Dimension dimension) {
    constexpr std::string_view form = "write for example \"120 % (80 .. 160 %)\"";
    const auto lower = read_amount(scanner, dimension);
    if (!lower) return std::unexpected(lower.error());
    if (!scanner.take("..")) {
        return refused(Cause::not_a_quantity, lower->place,
                       "a bracket holds the lower and the upper limit, with \"..\" between",
                       std::string(form));
    }
    const auto limits = read_upper(scanner, *lower, dimension);
    if (!limits) return limits;
    if (!scanner.take(")")) {
        return refused(Cause::not_a_quantity, {.begin = scanner.at(), .end = scanner.at()},
                       "the bracket is not closed", std::string(form));
    }
    return limits;
}

// "HALF" behind "±": a share of the nominal when it is a percentage, else a difference.
TextExpected<Spread> read_half(TextScanner& scanner, const Amount& nominal, double value,
                               Dimension dimension) {
    const auto plain = without_tolerance_letter(nominal, "state the tolerance once");
    if (!plain) return std::unexpected(plain.error());
    const auto half = read_amount(scanner, dimension);
    if (!half) return std::unexpected(half.error());
    const bool relative = half->unit == "%";
    const auto size = difference_of(*half, relative ? Dimension::ratio : dimension);
    if (!size) return std::unexpected(size.error());
    const double distance = relative ? *size * std::abs(value) : *size;
    const TextStretch whole{.begin = nominal.place.begin, .end = half->place.end};
    for (const double limit : {value - distance, value + distance}) {
        const auto fits = in_range(limit, dimension, whole);
        if (!fits) return std::unexpected(fits.error());
    }
    return Spread{.nominal = value, .lowest = value - distance, .highest = value + distance};
}

TextExpected<Spread> read_spread(TextScanner& scanner, Dimension dimension) {
    const auto first = read_amount(scanner, dimension);
    if (!first) return std::unexpected(first.error());
    if (scanner.take("..")) {
        const auto limits = read_upper(scanner, *first, dimension);
        if (!limits) return std::unexpected(limits.error());
        const double middle = 0.5 * limits->lowest + 0.5 * limits->highest;  // never overflows
        return checked(middle, *limits, limits->place);
    }
    const auto nominal = value_of(*first, dimension);
    if (!nominal) return std::unexpected(nominal.error());
    if (scanner.take("±") || scanner.take("+-") || scanner.take("+/-")) {
        return read_half(scanner, *first, *nominal, dimension);
    }
    if (scanner.take("(")) {
        const auto plain = without_tolerance_letter(*first, "state the tolerance once");
        if (!plain) return std::unexpected(plain.error());
        const auto limits = read_bracket(scanner, dimension);
        if (!limits) return std::unexpected(limits.error());
        return checked(*nominal, *limits, {.begin = first->place.begin, .end = scanner.at()});
    }
    if (first->code && first->code->tolerance) {
        const double distance = *nominal * *first->code->tolerance;
        return Spread{
            .nominal = *nominal, .lowest = *nominal - distance, .highest = *nominal + distance};
    }
    return exactly(*nominal);
}

// `write a ratio "at" a current, a voltage`
std::string form_of(Dimension dimension, std::span<const Dimension> conditions) {
    std::string form = fmt::format("write {}", dimension_name(dimension));
    std::string_view before = ", \"at\", ";
    for (const Dimension condition : conditions) {
        form += fmt::format("{}{}", before, dimension_name(condition));
        before = ", a comma, ";
    }
    return form;
}

}  // namespace

TextExpected<double> strict_quantity(std::string_view text, Dimension dimension) {
    TextScanner scanner(text);
    const auto amount = read_amount(scanner, dimension);
    if (!amount) return std::unexpected(amount.error());
    const auto plain = without_tolerance_letter(*amount, "leave the letter out");
    if (!plain) return std::unexpected(plain.error());
    const auto value = value_of(*amount, dimension);
    if (!value) return value;
    const auto end = read_end(scanner, dimension);
    if (!end) return std::unexpected(end.error());
    return value;
}

TextExpected<Spread> strict_spread(std::string_view text, Dimension dimension) {
    TextScanner scanner(text);
    const auto spread = read_spread(scanner, dimension);
    if (!spread) return spread;
    const auto end = read_end(scanner, dimension);
    if (!end) return std::unexpected(end.error());
    return spread;
}

TextExpected<SpreadAt> strict_spread_at(std::string_view text, Dimension dimension,
                                        std::span<const Dimension> conditions) {
    TextScanner scanner(text);
    const auto spread = read_spread(scanner, dimension);
    if (!spread) return std::unexpected(spread.error());
    SpreadAt result{.spread = *spread, .conditions = {}};
    for (const Dimension condition : conditions) {
        const bool first = result.conditions.empty();
        if (!(first ? scanner.take_word("at") : scanner.take(","))) {
            scanner.pass_spaces();
            return refused(
                Cause::not_a_quantity, scanner.remainder(),
                first ? fmt::format("\"at\" and {} are missing here", dimension_name(condition))
                      : fmt::format("a comma and {} are missing here", dimension_name(condition)),
                form_of(dimension, conditions));
        }
        const auto amount = read_amount(scanner, condition);
        if (!amount) return std::unexpected(amount.error());
        const auto plain = without_tolerance_letter(*amount, "leave the letter out");
        if (!plain) return std::unexpected(plain.error());
        const auto value = value_of(*amount, condition);
        if (!value) return std::unexpected(value.error());
        result.conditions.push_back(*value);
    }
    if (scanner.at_end()) return result;
    const TextStretch left_over = scanner.remainder();
    return refused(Cause::not_a_quantity, left_over,
                   fmt::format("{} is not expected here", in_quotes(scanner.text(left_over))),
                   form_of(dimension, conditions));
}

}  // namespace gapwright
