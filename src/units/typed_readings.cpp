#include "units/typed_readings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "source/diagnostics.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"
#include "units/typed_amount.hpp"
#include "units/typed_spread.hpp"
#include "units/unit_table.hpp"

namespace gapwright {

std::vector<TypedReading> readings_of(const TypedSpread& typed) {
    std::size_t numbers = 1;
    std::size_t units = 1;
    const TypedAmount* decisive = &typed.first;  // its unit is the one that has to be told
    for (const TypedAmount* amount : typed.amounts()) {
        numbers = std::max(numbers, amount->number.texts.size());
        if (amount->units.size() > units) decisive = amount;
        units = std::max(units, amount->units.size());
    }
    std::vector<TypedReading> readings;
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

std::string write_one_of(std::span<const TypedReading> readings) {
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

TextError undecided(const TypedSpread& typed, std::string_view text,
                    std::span<const TypedReading> readings) {
    TextError error{.cause = Cause::wrong_unit, .message = {}, .remedy = write_one_of(readings)};
    const auto at = [&](TextStretch place) {
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

}  // namespace gapwright
