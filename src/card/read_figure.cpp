#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "card/sheet_limits.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/typed_quantity.hpp"

namespace gapwright {
namespace {

constexpr double degree = std::numbers::pi / 180;
constexpr double narrowest = 0.999 * degree;
constexpr double widest = 89.001 * degree;

std::optional<Figure> read_text(const FigureForm& form, const TomlValue& value,
                                const std::string& text, Problems& problems);

// Limits as a data sheet prints them.
std::optional<Figure> read_sheet_limits(const FigureForm& form, const TomlValue& value,
                                        const TextExpected<SheetLimits>& limits,
                                        Problems& problems) {
    if (!limits) {
        problems.push_back(at_text(limits.error(), value));
        return std::nullopt;
    }
    FigureForm plain = form;
    plain.key.reset();
    Problems found;
    auto figure = read_text(plain, value, limits->spread + limits->conditions, found);
    for (auto& problem : found) {
        problem.place = value.place;  // its own is one of a text that nobody wrote
        problems.push_back(std::move(problem));
    }
    if (figure) figure->one_sided = limits->one_sided;
    return figure;
}

std::optional<Figure> read_text(const FigureForm& form, const TomlValue& value,
                                const std::string& text, Problems& problems) {
    if (form.key) {
        if (const auto limits = sheet_limits(text, form.dimension, *form.key))
            return read_sheet_limits(form, value, *limits, problems);
    }
    if (form.at) {
        const auto parsed = parse_spread_at(text, form.dimension, form.conditions);
        if (!parsed) {
            problems.push_back(at_text(parsed.error(), value));
            return std::nullopt;
        }
        for (const double condition : parsed->conditions) {
            if (condition > 0) continue;
            problems.push_back(
                {.cause = Cause::out_of_range,
                 .place = value.place,
                 .message = fmt::format("the condition of {} must be above zero", form.name),
                 .remedy = {}});
            return std::nullopt;
        }
        return Figure{
            .spread = parsed->spread, .conditions = parsed->conditions, .place = value.place};
    }
    const auto parsed = parse_spread(text, form.dimension);
    if (!parsed) {
        problems.push_back(at_text(parsed.error(), value));
        return std::nullopt;
    }
    return Figure{.spread = *parsed, .conditions = {}, .place = value.place};
}

std::optional<double> plain_number(const TomlValue& value) {
    if (const auto* whole = std::get_if<std::int64_t>(&value.data)) {
        return static_cast<double>(*whole);
    }
    if (const auto* number = std::get_if<double>(&value.data)) return *number;
    return std::nullopt;
}

// How a number that stands alone is written for that key.
std::string with_unit(const FigureForm& form, double number) {
    const auto written = rewrite_quantity(
        fmt::format("{}", number), {.dimension = form.dimension, .conditions = form.conditions});
    return written ? write_one_of(std::array{written->text}) : written.error().remedy;
}

}  // namespace

std::string range_fault(Range range, const Spread& spread) {
    switch (range) {
        case Range::any:
            return {};
        case Range::from_zero:
            return spread.lowest < 0 ? "must not be below zero" : "";
        case Range::above_zero:
            return spread.lowest <= 0 ? "must be above zero" : "";
        case Range::share:
            return spread.lowest < 0 || spread.highest > 1 ? "must lie between 0 and 100 %" : "";
        case Range::acute_angle:
            return spread.lowest < 0 || spread.highest > widest ? "must lie between 0 and 89 °"
                                                                : "";
        case Range::beam_angle:  // a beam of no width has no Lambertian order
            return spread.lowest < narrowest || spread.highest > widest
                       ? "must lie between 1 and 89 °"
                       : "";
    }
    return {};
}

Spread range_ends(Range range) {
    constexpr double infinity = std::numeric_limits<double>::infinity();
    switch (range) {
        case Range::any:
            break;
        case Range::from_zero:
        case Range::above_zero:
            return {0, 0, infinity};
        case Range::share:
            return {0, 0, 1};
        case Range::acute_angle:
            return {0, 0, widest};
        case Range::beam_angle:
            return {narrowest, narrowest, widest};
    }
    return {0, -infinity, infinity};
}

Diagnostic at_text(const TextError& error, const TomlValue& value) {
    return {.cause = error.cause,
            .place = value.text_place(error.begin, error.end),
            .message = error.message,
            .remedy = error.remedy};
}

std::optional<Figure> read_figure(const FigureForm& form, const TomlValue& value,
                                  Problems& problems) {
    const auto example = [&] {
        return fmt::format("write for example {}", form.range == Range::share
                                                       ? std::string_view("\"30 %\"")
                                                       : dimension_example(form.dimension));
    };
    std::optional<Figure> figure;
    if (const std::string* text = value.text()) {
        figure = read_text(form, value, *text, problems);
    } else if (const auto number = plain_number(value)) {
        if (form.at || (form.dimension != Dimension::ratio && !form.may_be_plain)) {
            problems.push_back({.cause = Cause::missing_unit,
                                .place = value.place,
                                .message = fmt::format("{} is {}, a number alone does not say "
                                                       "in which unit",
                                                       form.name, dimension_name(form.dimension)),
                                .remedy = with_unit(form, *number)});
            return std::nullopt;
        }
        if (!std::isfinite(*number)) {
            problems.push_back({.cause = Cause::out_of_range,
                                .place = value.place,
                                .message = fmt::format("{} must be a finite number", form.name),
                                .remedy = {}});
            return std::nullopt;
        }
        figure = Figure{.spread = exactly(*number), .conditions = {}, .place = value.place};
    } else {
        problems.push_back(
            {.cause = Cause::wrong_type,
             .place = value.place,
             .message = fmt::format("{} is {}, found {}", form.name, dimension_name(form.dimension),
                                    value.type_name()),
             .remedy = example()});
        return std::nullopt;
    }
    if (!figure) return std::nullopt;
    if (const auto fault = range_fault(form.range, figure->spread); !fault.empty()) {
        problems.push_back({.cause = Cause::out_of_range,
                            .place = value.place,
                            .message = fmt::format("{} {}", form.name, fault),
                            .remedy = example()});
        return std::nullopt;
    }
    return figure;
}

}  // namespace gapwright
