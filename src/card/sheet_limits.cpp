#include "card/sheet_limits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

std::string_view trimmed_view(std::string_view text) {
    const auto begin = text.find_first_not_of(" \t");
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(" \t") - begin + 1);
}

TextError fault(Cause cause, std::string_view text, std::string message, std::string remedy) {
    return {.cause = cause,
            .begin = 0,
            .end = text.size(),
            .message = std::move(message),
            .remedy = std::move(remedy)};
}

// What is printed in the three columns; none where a column is empty.
struct Columns {
    std::optional<double> least, typical, greatest;
};

TextExpected<SheetLimits> limits_of(const Columns& c, std::string_view text,
                                    std::string_view conditions, Dimension dimension, Key key) {
    if (!c.least && !c.greatest) {
        return std::unexpected(fault(Cause::empty_spread, text,
                                     "neither a minimum nor a maximum stands here",
                                     "write for example \"50 / 100 / - %\", or \"≥ 50 %\""));
    }
    const double given = c.least ? *c.least : *c.greatest;
    if (!(given > 0)) {
        return std::unexpected(fault(Cause::out_of_range, text,
                                     "one limit alone says something of what is above zero only",
                                     "write both limits: \"-2.2 .. -1.2 mV/K\""));
    }
    const double reach = sheet_reach(key);
    double least = c.least.value_or(c.greatest.value_or(0) / reach);
    double greatest = c.greatest.value_or(least * reach);
    const double nominal = c.typical.value_or(std::sqrt(least * greatest));
    // A typical value that lies near the limit that is printed says more than what is common.
    if (!c.least) least = std::min(least, nominal);
    if (!c.greatest) greatest = std::max(greatest, nominal);
    if (least > nominal || nominal > greatest) {
        return std::unexpected(fault(Cause::empty_spread, text,
                                     "minimum, typical and maximum are not in this order",
                                     "write them as the sheet has them, minimum first"));
    }
    const std::string_view unit = dimension_unit(dimension);
    const bool percents = dimension == Dimension::per_temperature ||
                          dimension == Dimension::per_voltage;  // whose unit is %/K, %/V
    const auto number = [&](double value) {
        return fmt::format("{:.12g} {}", percents ? 100 * value : value, unit);
    };
    return SheetLimits{
        .spread = fmt::format("{} ({} .. {})", number(nominal), number(least), number(greatest)),
        .conditions = std::string(conditions),
        .one_sided = !c.least || !c.greatest};
}

}  // namespace

double sheet_reach(Key key) {
    if (key == Key::forward) return 1.5;        // from the lowest to the highest of a colour
    if (key == Key::dark_current) return 1000;  // typical ones are hundreds of times below
    if (key == Key::threshold) return 3;
    if (key == Key::ctr || key == Key::gain || key == Key::second_gain) return 6;
    return 4;
}

std::optional<TextExpected<SheetLimits>> sheet_limits(std::string_view text, Dimension dimension,
                                                      Key key) {
    const std::size_t at = text.find(" at ");
    const std::string_view amount = trimmed_view(text.substr(0, at));
    const std::string_view conditions =
        at == std::string_view::npos ? std::string_view() : text.substr(at);
    struct Sign {
        std::string_view text;
        bool is_least;
    };
    constexpr std::array<Sign, 6> signs = {
        {{"≥", true}, {">=", true}, {"min ", true}, {"≤", false}, {"<=", false}, {"max ", false}}};
    for (const auto& sign : signs) {
        if (!amount.starts_with(sign.text)) continue;
        const auto value = parse_quantity(trimmed_view(amount.substr(sign.text.size())), dimension);
        if (!value) {
            return std::unexpected(
                fault(value.error().cause, text, value.error().message, value.error().remedy));
        }
        Columns columns;
        (sign.is_least ? columns.least : columns.greatest) = *value;
        return limits_of(columns, text, conditions, dimension, key);
    }
    // Three columns; the unit stands behind the last number.
    std::vector<std::string_view> cells;
    std::string_view rest = amount;
    for (auto slash = rest.find(" / "); slash != std::string_view::npos; slash = rest.find(" / ")) {
        cells.push_back(trimmed_view(rest.substr(0, slash)));
        rest = rest.substr(slash + 3);
    }
    if (cells.size() != 2) return std::nullopt;
    // What stands behind the last number, or behind the dash in its place, is the unit of all.
    rest = trimmed_view(rest);
    const std::size_t end = rest.find_first_not_of("0123456789.+-eE");
    const std::string_view unit =
        end == std::string_view::npos ? std::string_view() : rest.substr(end);
    cells.push_back(trimmed_view(rest.substr(0, end)));
    Columns columns;
    const std::array<std::optional<double>*, 3> where = {&columns.least, &columns.typical,
                                                         &columns.greatest};
    for (std::size_t k = 0; k < cells.size(); ++k) {
        if (cells[k] == "-" || cells[k] == "–" || cells[k].empty()) continue;
        const bool has_unit =
            cells[k].find_first_not_of("0123456789.+-eE") != std::string_view::npos;
        const std::string cell =
            has_unit ? std::string(cells[k]) : fmt::format("{} {}", cells[k], trimmed_view(unit));
        const auto value = parse_quantity(cell, dimension);
        if (!value) {
            return std::unexpected(
                fault(value.error().cause, text, value.error().message, value.error().remedy));
        }
        *where[k] = *value;
    }
    return limits_of(columns, text, conditions, dimension, key);
}

}  // namespace gapwright
