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
#include "units/typed_spread.hpp"
#include "units/unit_table.hpp"

namespace gapwright {
namespace {

// One way to read a typed text.
struct Reading {
    std::string text;
    std::string_view why;
    bool converted = false;
};

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

// Every way to read it: amounts that can be read so or so are read alike throughout.
std::vector<Reading> readings_of(const TypedSpread& typed) {
    std::size_t numbers = 1;
    std::size_t units = 1;
    const TypedAmount* decisive = &typed.first;  // its unit is the one that has to be told
    for (const TypedAmount* amount : typed.amounts()) {
        numbers = std::max(numbers, amount->number.texts.size());
        if (amount->units.size() > units) decisive = amount;
        units = std::max(units, amount->units.size());
    }
    std::vector<Reading> readings;
    for (std::size_t unit = 0; unit < units; ++unit) {
        for (std::size_t number = 0; number < numbers; ++number) {
            const auto& choices = decisive->units;
            readings.push_back(
                {.text = typed.text(number, unit),
                 .why = choices.empty() ? std::string_view() : choices[unit].why,
                 .converted = std::ranges::any_of(typed.amounts(), [&](const auto* amount) {
                     const auto& own = amount->units;
                     return !own.empty() && own[std::min(unit, own.size() - 1)].converted();
                 })});
        }
    }
    return readings;
}

std::string listed(const std::vector<Reading>& readings) {
    std::string list = "write ";
    for (std::size_t k = 0; k < readings.size(); ++k) {
        const auto& [text, why, converted] = readings[k];
        if (k > 0) list += k + 1 == readings.size() ? " or " : ", ";
        list += fmt::format("\"{}\"", text);
        if (why.empty()) continue;
        list += readings.size() == 1 ? fmt::format(": {}", why) : fmt::format(" ({})", why);
    }
    return list;
}

// Why a text that has several readings, or one that has to be reckoned, is not just taken.
TextError undecided(const TypedSpread& typed, std::string_view text,
                    const std::vector<Reading>& readings) {
    TextError error{.cause = Cause::wrong_unit, .message = {}, .remedy = listed(readings)};
    const auto at = [&](Stretch place) {
        error.begin = place.begin;
        error.end = place.end;
        return in_quotes(text.substr(place.begin, place.end - place.begin));
    };
    for (const TypedAmount* amount : typed.amounts()) {
        if (amount->number.texts.size() < 2) continue;
        error.cause = Cause::not_a_quantity;
        error.message = fmt::format("{} can be read in two ways", at(amount->number.place));
        return error;
    }
    for (const TypedAmount* amount : typed.amounts()) {
        const auto& units = amount->units;
        if (units.size() < 2 && (units.empty() || !units.front().converted())) continue;
        if (amount->alone()) {
            const auto told = std::ranges::find_if(typed.changes, [&](const TextError& change) {
                return change.cause == Cause::missing_unit &&
                       change.begin == amount->number.place.begin;
            });
            if (told == typed.changes.end()) continue;  // its unit stands with the other limit
            error.message = told->message;
            error.cause = told->cause;
            at(amount->number.place);
            return error;
        }
        const std::string written = at(amount->place);
        error.message = units.size() > 1
                            ? fmt::format("{} can be read in more than one way", written)
                            : fmt::format("{} is {}, not {}", dimension_row(amount->dimension).name,
                                          dimension_row(amount->dimension).stated,
                                          in_quotes(amount->typed_unit));
        return error;
    }
    return error;
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
    }
    if (!typed) return unchanged();
    std::vector<Reading> readings = readings_of(*typed);
    std::optional<TextError> refused;
    std::erase_if(readings, [&](const Reading& reading) {
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
    std::vector<Reading> readings;
    for (const std::string& text : texts) readings.push_back({.text = text, .why = {}});
    return listed(readings);
}

TextExpected<RewrittenQuantity> rewrite_quantity(std::string_view typed,
                                                 const WantedQuantity& wanted) {
    return wanted.dimension ? rewrite(typed, *wanted.dimension, wanted)
                            : rewrite_by_unit(typed, wanted);
}

}  // namespace gapwright
