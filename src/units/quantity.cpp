#include "units/quantity.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>

#include "units/preferred.hpp"
#include "units/unit_table.hpp"

namespace gapwright {
namespace {

// Spaces that people and word processors put between number and unit.
constexpr auto spaces = std::to_array<std::string_view>(
    {" ", "\t", "\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x89", "\xE2\x80\x87"});
constexpr std::string_view minus_sign = "\xE2\x88\x92";  // U+2212

// A stretch [begin, end) of the whole text.
struct Piece {
    std::string_view whole;
    std::size_t begin = 0;
    std::size_t end = 0;

    std::string_view text() const { return whole.substr(begin, end - begin); }
    bool empty() const { return begin >= end; }

    Piece trimmed() const {
        Piece p = *this;
        bool again = true;
        while (again) {
            again = false;
            for (const auto space : spaces) {
                if (p.text().starts_with(space)) {
                    p.begin += space.size();
                    again = true;
                } else if (p.text().ends_with(space)) {
                    p.end -= space.size();
                    again = true;
                }
            }
        }
        return p;
    }
    Piece from_to(std::size_t from, std::size_t to) const {
        return Piece{whole, begin + from, begin + to};
    }
    // Both sides of the first `mark`, trimmed; false when it does not occur.
    bool split(std::string_view mark, Piece& left, Piece& right) const {
        const auto at = text().find(mark);
        if (at == std::string_view::npos) return false;
        left = from_to(0, at).trimmed();
        right = from_to(at + mark.size(), text().size()).trimmed();
        return true;
    }
};

std::unexpected<TextError> fail(Cause cause, const Piece& piece, std::string message,
                                std::string remedy) {
    return std::unexpected(TextError{.cause = cause,
                                     .begin = piece.begin,
                                     .end = piece.end,
                                     .message = std::move(message),
                                     .remedy = std::move(remedy)});
}

std::string example(Dimension dimension) {
    return fmt::format("write for example {}", dimension_example(dimension));
}

// A number at the start of a text: its value and how many bytes it takes.
struct Number {
    double value;
    std::size_t length;
};
std::optional<Number> leading_number(std::string_view text) {
    std::size_t at = 0;
    double sign = 1;
    if (text.starts_with(minus_sign)) {
        sign = -1;
        at = minus_sign.size();
    } else if (text.starts_with('-') || text.starts_with('+')) {
        sign = text[0] == '-' ? -1 : 1;
        at = 1;
    }
    const bool begins = at < text.size() && ((text[at] >= '0' && text[at] <= '9') ||
                                             (text[at] == '.' && at + 1 < text.size() &&
                                              text[at + 1] >= '0' && text[at + 1] <= '9'));
    if (!begins) return std::nullopt;
    // "1..2" is a range, not the number "1." and more.
    std::string_view rest = text.substr(at);
    if (const auto range = rest.find(".."); range != std::string_view::npos) {
        rest = rest.substr(0, range);
    }
    double value = 0;
    const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
    if (error == std::errc::result_out_of_range) {
        value = std::numeric_limits<double>::infinity();
    }
    return Number{sign * value, at + static_cast<std::size_t>(end - rest.data())};
}

struct Value {
    double value;          // inner unit
    std::string_view unit;  // as written, empty for a letter code or a bare number
};

TextExpected<Value> fault_of_range(double value, const Piece& piece, Dimension dimension,
                                   std::string_view unit) {
    if (!std::isfinite(value)) {
        return fail(Cause::out_of_range, piece, "this number is too large", example(dimension));
    }
    switch (dimension) {
        case Dimension::temperature:
            if (value < 0) {
                return fail(Cause::out_of_range, piece, "this is below absolute zero",
                            example(dimension));
            }
            break;
        case Dimension::resistance:
        case Dimension::capacitance:
        case Dimension::inductance:
        case Dimension::time:
        case Dimension::length:
        case Dimension::illuminance:
        case Dimension::irradiance:
        case Dimension::luminous_intensity:
        case Dimension::radiant_intensity:
            if (value < 0) {
                return fail(Cause::out_of_range, piece,
                            fmt::format("{} cannot be negative", dimension_name(dimension)),
                            example(dimension));
            }
            break;
        default:
            break;
    }
    return Value{value, unit};
}

// One number with its unit. `borrowed_unit` serves a number that has none of its own; a difference
// takes no offset (5 °C is then 5 K).
TextExpected<Value> value_of(Piece piece, Dimension dimension,
                             std::optional<std::string_view> borrowed_unit = {},
                             bool difference = false) {
    piece = piece.trimmed();
    const std::string_view text = piece.text();
    if (dimension == Dimension::resistance) {
        if (const auto code = parse_letter_code(text)) {
            if (code->tolerance) {
                return fail(Cause::not_a_quantity, piece,
                            "a tolerance letter has no place here", example(dimension));
            }
            return fault_of_range(code->ohms, piece, dimension, "Ω");
        }
    }
    const auto number = leading_number(text);
    if (!number) {
        return fail(Cause::not_a_quantity, piece,
                    text.empty() ? fmt::format("{} is missing here", dimension_name(dimension))
                                 : fmt::format("\"{}\" is not {}", text, dimension_name(dimension)),
                    example(dimension));
    }
    const Piece unit_piece = piece.from_to(number->length, text.size()).trimmed();
    std::string_view unit = unit_piece.text();
    if (unit.starts_with(',')) {
        return fail(Cause::not_a_quantity, piece, "a decimal point is written \".\", not \",\"",
                    example(dimension));
    }
    if (unit.empty() && borrowed_unit) unit = *borrowed_unit;
    if (unit.empty() && dimension != Dimension::ratio) {
        return fail(Cause::missing_unit, piece,
                    fmt::format("{} needs a unit", dimension_name(dimension)), example(dimension));
    }
    const auto meaning = unit_meaning(unit, dimension);
    if (!meaning) {
        return fail(Cause::wrong_unit, unit_piece,
                    fmt::format("\"{}\" is no unit of {}", unit, dimension_name(dimension)),
                    example(dimension));
    }
    if (meaning->dimension != dimension) {
        return fail(Cause::wrong_unit, unit_piece.empty() ? piece : unit_piece,
                    fmt::format("{} is wanted here, not {}", dimension_name(dimension),
                                dimension_name(meaning->dimension)),
                    example(dimension));
    }
    const double scaled = number->value * meaning->factor + (difference ? 0 : meaning->offset);
    return fault_of_range(scaled, piece, difference ? Dimension::ratio : dimension, unit);
}

TextExpected<Spread> checked(const Spread& spread, const Piece& piece) {
    if (spread.lowest > spread.highest) {
        return fail(Cause::empty_spread, piece, "the lower limit is above the upper one",
                    "write the lower limit first");
    }
    if (spread.nominal < spread.lowest || spread.nominal > spread.highest) {
        return fail(Cause::empty_spread, piece, "the nominal lies outside its limits",
                    "write limits that hold the nominal");
    }
    return spread;
}

// "lo .. hi UNIT"
TextExpected<Spread> range_of(const Piece& low_piece, const Piece& high_piece,
                              Dimension dimension) {
    const auto high = value_of(high_piece, dimension);
    if (!high) return std::unexpected(high.error());
    const auto low = value_of(low_piece, dimension, high->unit);
    if (!low) return std::unexpected(low.error());
    const Piece both{low_piece.whole, low_piece.begin, high_piece.end};
    return checked({0.5 * (low->value + high->value), low->value, high->value}, both);
}

// "X ± Y": Y a percentage of X, or a quantity of its kind.
TextExpected<Spread> tolerance_of(const Piece& nominal_piece, const Piece& half_piece,
                                  Dimension dimension) {
    const auto nominal = value_of(nominal_piece, dimension);
    if (!nominal) return std::unexpected(nominal.error());
    double half = 0;
    if (half_piece.text().ends_with('%')) {
        const auto share = value_of(half_piece, Dimension::ratio);
        if (!share) return std::unexpected(share.error());
        half = share->value * std::abs(nominal->value);
    } else {
        const auto value = value_of(half_piece, dimension, nominal->unit, true);
        if (!value) return std::unexpected(value.error());
        half = value->value;
    }
    if (half < 0) {
        return fail(Cause::empty_spread, half_piece, "a tolerance is not negative",
                    "write for example \"± 5 %\"");
    }
    const Spread spread{nominal->value, nominal->value - half, nominal->value + half};
    const Piece both{nominal_piece.whole, nominal_piece.begin, half_piece.end};
    for (const double limit : {spread.lowest, spread.highest}) {
        const auto inside = fault_of_range(limit, both, dimension, {});
        if (!inside) return std::unexpected(inside.error());
    }
    return spread;
}

// "X (lo .. hi UNIT)"
TextExpected<Spread> limits_of(const Piece& nominal_piece, Piece limits_piece,
                               Dimension dimension) {
    if (!limits_piece.text().ends_with(')')) {
        return fail(Cause::not_a_quantity, limits_piece, "the parenthesis is not closed",
                    example(dimension));
    }
    limits_piece.end -= 1;
    const auto nominal = value_of(nominal_piece, dimension);
    if (!nominal) return std::unexpected(nominal.error());
    Piece low;
    Piece high;
    if (!limits_piece.split("..", low, high)) {
        return fail(Cause::not_a_quantity, limits_piece,
                    "limits are written as a lower and an upper one",
                    "write for example \"(80 .. 160 %)\"");
    }
    auto limits = range_of(low, high, dimension);
    if (!limits) return limits;
    limits->nominal = nominal->value;
    return checked(*limits, {nominal_piece.whole, nominal_piece.begin, limits_piece.end + 1});
}

TextExpected<Spread> spread_of(Piece piece, Dimension dimension) {
    piece = piece.trimmed();
    Piece left;
    Piece right;
    if (piece.split("(", left, right)) return limits_of(left, right, dimension);
    if (piece.split("±", left, right) || piece.split("+-", left, right)) {
        return tolerance_of(left, right, dimension);
    }
    if (piece.split("..", left, right)) return range_of(left, right, dimension);
    if (dimension == Dimension::resistance) {
        if (const auto code = parse_letter_code(piece.text()); code && code->tolerance) {
            return Spread{code->ohms, code->ohms * (1 - *code->tolerance),
                          code->ohms * (1 + *code->tolerance)};
        }
    }
    const auto value = value_of(piece, dimension);
    if (!value) return std::unexpected(value.error());
    return exactly(value->value);
}

}  // namespace

TextExpected<double> parse_quantity(std::string_view text, Dimension dimension) {
    const auto value = value_of({text, 0, text.size()}, dimension);
    if (!value) return std::unexpected(value.error());
    return value->value;
}

TextExpected<Spread> parse_spread(std::string_view text, Dimension dimension) {
    return spread_of({text, 0, text.size()}, dimension);
}

TextExpected<SpreadAt> parse_spread_at(std::string_view text, Dimension dimension,
                                       std::span<const Dimension> conditions) {
    const Piece whole{text, 0, text.size()};
    const auto form = [&] {
        std::string remedy = fmt::format("write {} and after \"at\" {}", dimension_name(dimension),
                                         dimension_name(conditions[0]));
        for (const auto more : conditions.subspan(1)) {
            remedy += fmt::format(", {}", dimension_name(more));
        }
        return remedy;
    };
    Piece value;
    Piece rest;
    if (!whole.split(" at ", value, rest)) {
        return fail(Cause::not_a_quantity, whole, "the condition after \"at\" is missing", form());
    }
    const auto spread = spread_of(value, dimension);
    if (!spread) return std::unexpected(spread.error());
    SpreadAt result{*spread, {}};
    for (std::size_t k = 0; k < conditions.size(); ++k) {
        Piece here = rest;
        const bool last = k + 1 == conditions.size();
        if (!last && !rest.split(",", here, rest)) {
            return fail(Cause::not_a_quantity, rest, "a condition after \"at\" is missing", form());
        }
        const auto condition = value_of(last ? rest : here, conditions[k]);
        if (!condition) return std::unexpected(condition.error());
        result.conditions.push_back(condition->value);
    }
    return result;
}

}  // namespace gapwright
