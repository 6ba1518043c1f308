#include "units/typed_amount.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "source/diagnostics.hpp"
#include "units/decimal.hpp"
#include "units/dimension.hpp"
#include "units/preferred.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"
#include "units/typed_number.hpp"
#include "units/unit_words.hpp"

namespace gapwright {
namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// Whether a typed unit ends at the start of this text. No unit holds one of these marks.
bool ends_unit(std::string_view text) {
    constexpr std::array<std::string_view, 17> marks = {
        "(", ")", ",", ";", "+", "±", "..", "…", "-", "–", "—", "‒", "\u2212", "~", "÷", "@", "="};
    if (text.empty()) return true;
    if (std::ranges::any_of(marks, [&](std::string_view m) { return text.starts_with(m); })) {
        return true;
    }
    TextScanner ahead(text);
    ahead.pass_spaces();
    if (ahead.at() == 0) return false;
    if (ends_unit(ahead.rest()) || is_digit(ahead.rest().front())) return true;
    for (const std::string_view word : {"at", "to", "and"}) {
        TextScanner next = ahead;
        if (next.take_word(word)) return true;
    }
    return false;
}

// What stands next up to the end of a unit; words of it may have spaces between them: "V d.c.".
TextStretch unit_stretch(TextScanner& scanner) {
    scanner.pass_spaces();
    TextStretch place{.begin = scanner.at(), .end = scanner.at()};
    for (const std::string_view word : {"at", "to", "and"}) {
        TextScanner next = scanner;
        if (next.take_word(word)) return place;
    }
    const std::string_view rest = scanner.rest();
    const bool per = rest.starts_with("1/") && rest.size() > 2 && !is_digit(rest[2]);
    if (!per && !rest.empty() && is_digit(rest.front())) return place;
    if (per) scanner.pass(2);
    while (!ends_unit(scanner.rest())) scanner.pass(1);
    place.end = scanner.at();
    return place;
}

// "V3" of "3V3": the letters stand where the point belongs.
struct LetterAsPoint {
    std::string_view digits;
    std::string unit;
};
std::optional<LetterAsPoint> letter_as_point(std::string_view text) {
    const std::size_t first = text.find_first_of("0123456789");
    if (first == 0 || first == std::string_view::npos) return std::nullopt;
    const std::size_t last = std::min(text.find_first_not_of("0123456789", first), text.size());
    return LetterAsPoint{
        .digits = text.substr(first, last - first),
        .unit = std::string(text.substr(0, first)) + std::string(text.substr(last))};
}

TextError change(Cause cause, TextStretch place, std::string message) {
    return {.cause = cause,
            .begin = place.begin,
            .end = place.end,
            .message = std::move(message),
            .remedy = {}};
}

bool only_digits(const TypedNumber& number) {
    return number.texts.size() == 1 && !number.change &&
           std::ranges::all_of(number.texts.front(), is_digit);
}

// "4E7" of a resistance: 4.7 Ω as some parts are marked, or 40 MΩ.
void mind_marked_e(TypedNumber& number, std::string_view written) {
    const std::size_t mark = written.find_first_of("eE");
    if (mark == std::string_view::npos || mark == 0) return;
    const std::string_view above = written.substr(0, mark);
    const std::string_view below = written.substr(mark + 1);
    const bool digits = !below.empty() && std::ranges::all_of(above, is_digit) &&
                        std::ranges::all_of(below, is_digit);
    if (digits) number.texts.insert(number.texts.begin(), fmt::format("{}.{}", above, below));
}

// A letter code that stands alone at the scanner; with a number in front of it or not.
std::optional<TypedAmount> letter_code_next(TextScanner& scanner) {
    TextScanner ahead = scanner;
    ahead.pass_spaces();
    TypedAmount amount{.place = {.begin = ahead.at(), .end = ahead.at()},
                       .dimension = Dimension::resistance};
    while (!ends_unit(ahead.rest())) ahead.pass(1);
    amount.place.end = ahead.at();
    const std::string_view text = ahead.text(amount.place);
    if (!parse_letter_code(text)) return std::nullopt;
    amount.code = text;
    scanner = ahead;
    return amount;
}

std::optional<double> value_of_text(std::string_view text) {
    TextScanner scanner(text);
    const auto number = scanner.number();
    if (!number) return std::nullopt;
    const auto size = decimal_value(number->mantissa, number->exponent);
    if (!size) return std::nullopt;
    return number->negative ? -*size : *size;
}

}  // namespace

std::string decimal_text(double value) {
    constexpr int significant = 6;
    if (value == 0) return "0";
    std::string text = positional(rounded(std::abs(value), significant));
    if (text.contains('.')) text.resize(text.find_last_not_of('0') + 1);
    if (text.ends_with('.')) text.pop_back();
    return value < 0 ? "-" + text : text;
}

double TypedAmount::value() const {
    const auto known = number.texts.empty() ? std::nullopt : value_of_text(number.texts.front());
    return known.value_or(0);
}

std::string TypedAmount::text(std::size_t which_number, std::size_t which_unit,
                              bool as_difference) const {
    if (!code.empty()) return code;
    std::string result = number.texts[std::min(which_number, number.texts.size() - 1)];
    if (units.empty()) return result;
    const UnitReading& unit = units[std::min(which_unit, units.size() - 1)];
    if (unit.converted()) {
        const double typed = value_of_text(result).value_or(0);
        result = decimal_text(typed * unit.factor + (as_difference ? 0 : unit.offset));
    }
    const bool shown = shows_unit && !unit.unit.empty();
    return shown ? fmt::format("{} {}", result, unit.unit) : result;
}

std::optional<TypedAmount> typed_amount(TextScanner& scanner, Dimension dimension,
                                        std::vector<TextError>& changes) {
    if (dimension == Dimension::resistance) {
        if (auto code = letter_code_next(scanner)) return code;
    }
    auto number = typed_number(scanner);
    if (!number || number->texts.empty()) return std::nullopt;
    TypedAmount amount{
        .place = number->place, .number = *std::move(number), .dimension = dimension};
    if (amount.number.change) changes.push_back(*amount.number.change);
    const std::size_t number_end = scanner.at();
    TextScanner ahead = scanner;
    const TextStretch unit = unit_stretch(ahead);
    if (unit.empty()) {
        const std::string_view written = scanner.text(amount.place);
        if (dimension == Dimension::resistance) mind_marked_e(amount.number, written);
        return amount;
    }
    scanner = ahead;
    amount.place.end = unit.end;
    amount.typed_unit = scanner.text(unit);
    amount.units = readings_of_unit(amount.typed_unit, dimension);
    const bool touching = unit.begin == number_end;
    if (dimension == Dimension::length && touching && amount.typed_unit == "m") {
        amount.units = {{.unit = "mm"}, {.unit = "m"}};  // files take it as metres
    }
    bool as_point = false;
    if (const auto letter = letter_as_point(amount.typed_unit);
        amount.units.empty() && letter && touching && only_digits(amount.number)) {
        amount.units = readings_of_unit(letter->unit, dimension);
        amount.number.texts.front() += fmt::format(".{}", letter->digits);
        as_point = true;
    }
    if (amount.units.empty()) return amount;
    const std::string& meant = amount.units.front().unit;
    if (as_point) {
        changes.push_back(
            change(Cause::not_a_quantity, amount.place,
                   fmt::format("{} is written {}", in_quotes(scanner.text(amount.place)),
                               in_quotes(amount.text(0, 0, false)))));
    } else if (meant != amount.typed_unit) {
        changes.push_back(change(
            Cause::wrong_unit, amount.place,
            fmt::format("{} is written {}", in_quotes(amount.typed_unit), in_quotes(meant))));
    }
    return amount;
}

}  // namespace gapwright
