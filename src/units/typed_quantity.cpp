#include "units/typed_quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/strict_quantity.hpp"
#include "units/text_scanner.hpp"
#include "units/typed_amount.hpp"
#include "units/typed_aside.hpp"
#include "units/typed_readings.hpp"
#include "units/typed_spread.hpp"

namespace gapwright {
namespace {

// What files make of a text.
std::optional<TextError> refusal(std::string_view text, Dimension dimension,
                                 const WantedQuantity& wanted) {
    const auto error_of = [](const auto& read) {
        return read ? std::optional<TextError>() : std::optional(read.error());
    };
    if (wanted.form == WantedQuantity::Form::value) {
        return error_of(strict_quantity(text, dimension));
    }
    if (wanted.conditions.empty()) return error_of(strict_spread(text, dimension));
    return error_of(strict_spread_at(text, dimension, wanted.conditions));
}

// The text with the conditions that it lacks: "1.2 V at 20 mA".
std::string example_at(std::string_view text, Dimension dimension, const WantedQuantity& wanted) {
    const auto head = typed_spread(text, {dimension, {}, wanted.percent});
    const bool known = head && readings_of(*head).size() == 1;
    std::string example =
        known ? head->text(0, 0) : std::string(dimension_first_example(dimension));
    std::string_view mark = " at ";
    for (const Dimension condition : wanted.conditions) {
        example += fmt::format("{}{}", mark, dimension_first_example(condition));
        mark = ", ";
    }
    return fmt::format("write for example \"{}\"", example);
}

// Where files stumble over how limits are written, but a unit behind that is wrong: that is told.
void mind_unit(const std::optional<TypedAmount>& unread, TextError& error) {
    if (!unread || unread->place.begin <= error.begin) return;
    const auto refused =
        strict_quantity(fmt::format("1 {}", unread->typed_unit), unread->dimension);
    if (refused) return;
    error = refused.error();
    error.begin = unread->place.begin;
    error.end = unread->place.end;
}

// Words and tolerances beside a quantity that can be put without them.
void mind_aside(std::string_view text, Dimension dimension, const WantedQuantity& wanted,
                TextError& error) {
    const auto aside = typed_aside(text, dimension);
    if (!aside) return;
    const auto typed = typed_spread(aside->instead, {dimension, wanted.conditions, wanted.percent});
    if (!typed) return;
    const std::string instead = typed->text(0, 0);
    if (readings_of(*typed).size() != 1 || refusal(instead, dimension, wanted)) return;
    error = {.cause = Cause::not_a_quantity,
             .begin = aside->place.begin,
             .end = aside->place.end,
             .message = aside->message,
             .remedy = write_one_of({{instead}})};
}

// What is told of a text of which files take no reading, `error` being what they say of one.
TextError refused_in_all(const TypedSpread& typed, TextError error, Dimension dimension,
                         const WantedQuantity& wanted) {
    if (wanted.form == WantedQuantity::Form::value && !typed.is_one_value()) {
        error.cause = Cause::not_a_quantity;
        error.begin = typed.place.begin;
        error.end = typed.place.end;
        error.message = "one value is wanted here, without a spread";
        error.remedy = fmt::format("write for example \"{}\"", dimension_first_example(dimension));
        return error;
    }
    if (error.cause == Cause::empty_spread && typed.upper) {
        const std::string exchanged = typed.with_limits_exchanged().text(0, 0);
        if (!refusal(exchanged, dimension, wanted)) error.remedy = write_one_of({{exchanged}});
    }
    return error;
}

TextExpected<RewrittenQuantity> rewrite(std::string_view text, Dimension dimension,
                                        const WantedQuantity& wanted) {
    auto as_it_stands = refusal(text, dimension, wanted);
    const auto unchanged = [&]() -> TextExpected<RewrittenQuantity> {
        if (as_it_stands) return std::unexpected(*std::move(as_it_stands));
        return RewrittenQuantity{.text = std::string(text)};
    };
    constexpr std::size_t longest = 200;  // bytes
    if (text.size() > longest) return unchanged();
    auto typed = typed_spread(text, {dimension, wanted.conditions, wanted.percent});
    if (!typed && as_it_stands) {
        if (!wanted.conditions.empty()) as_it_stands->remedy = example_at(text, dimension, wanted);
        mind_unit(typed.error(), *as_it_stands);
        mind_aside(text, dimension, wanted, *as_it_stands);
    }
    if (!typed) return unchanged();
    std::vector<TypedReading> readings = readings_of(*typed);
    std::optional<TextError> refused;
    std::erase_if(readings, [&](const TypedReading& reading) {
        const auto error = refusal(reading.text, dimension, wanted);
        if (error && !refused) refused = error;
        return error.has_value();
    });
    if (readings.empty()) {
        if (!as_it_stands) return unchanged();
        if (typed->changes.empty()) {
            refused = std::move(as_it_stands);
        } else {  // what was wrong stands in the reading: not at the same bytes
            refused->begin = typed->place.begin;
            refused->end = typed->place.end;
        }
        return std::unexpected(refused_in_all(*typed, *std::move(refused), dimension, wanted));
    }
    if (readings.size() == 1 && !readings.front().converted) {
        return RewrittenQuantity{.text = std::move(readings.front().text),
                                 .changes = std::move(typed->changes)};
    }
    return std::unexpected(undecided(*typed, text, readings));
}

// Where nothing says what the quantity is: its unit may.
TextExpected<RewrittenQuantity> rewrite_by_unit(std::string_view text,
                                                const WantedQuantity& wanted) {
    std::vector<RewrittenQuantity> found;
    for (std::size_t k = 0; k <= static_cast<std::size_t>(Dimension::voltage_rate); ++k) {
        const auto dimension = static_cast<Dimension>(k);
        auto one = rewrite(text, dimension, wanted);
        if (!one) continue;
        const bool needs_unit = std::ranges::any_of(
            one->changes, [](const TextError& e) { return e.cause == Cause::missing_unit; });
        const bool plain = dimension == Dimension::ratio && !one->text.contains('%');
        const bool known =
            std::ranges::find(found, one->text, &RewrittenQuantity::text) != found.end();
        if (!needs_unit && !plain && !known) found.push_back(*std::move(one));
    }
    if (found.size() == 1) return std::move(found.front());
    std::vector<std::string> texts;
    for (const auto& one : found) texts.push_back(one.text);
    return std::unexpected(TextError{
        .cause = found.empty() ? Cause::missing_unit : Cause::not_a_quantity,
        .begin = 0,
        .end = text.size(),
        .message = found.empty()
                       ? "a quantity needs its unit"
                       : fmt::format("{} can be read in more than one way", in_quotes(text)),
        .remedy = found.empty() ? "write for example \"5 V\" or \"10 mA\"" : write_one_of(texts)});
}

}  // namespace

std::string write_one_of(std::span<const std::string> texts) {
    std::vector<TypedReading> readings;
    for (const std::string& text : texts) readings.push_back({.text = text, .why = {}});
    return write_one_of(readings);
}

TextExpected<RewrittenQuantity> rewrite_quantity(std::string_view typed,
                                                 const WantedQuantity& wanted) {
    return wanted.dimension ? rewrite(typed, *wanted.dimension, wanted)
                            : rewrite_by_unit(typed, wanted);
}

}  // namespace gapwright
