#include "units/typed_aside.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/text_scanner.hpp"
#include "units/typed_amount.hpp"
#include "units/typed_number.hpp"
#include "units/unit_words.hpp"

namespace gapwright {
namespace {

// Words and marks before or behind a quantity. What is a bound is said by the key.
constexpr std::array<std::string_view, 20> qualifiers = {
    "maximum", "max.", "max", "minimum", "min.", "typical", "typ.", "typ", "approx.", "about",
    "ca.",     "<=",   ">=",  "≤",       "≥",    "<",       ">",    "~",   "≈",       "nominal"};

std::string small(std::string_view text) {
    std::string result(text);
    for (char& c : result) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + ('a' - 'A'));
    }
    return result;
}

std::optional<TypedAside> qualified(std::string_view text) {
    TextScanner scanner(text);
    scanner.pass_spaces();
    const TextStretch whole = scanner.remainder();
    const std::string typed = small(scanner.text(whole));
    for (const std::string_view word : qualifiers) {
        const bool before = typed.starts_with(word);
        if (typed.size() <= word.size() || (!before && !typed.ends_with(word))) continue;
        const TextStretch place = before ? TextStretch{whole.begin, whole.begin + word.size()}
                                         : TextStretch{whole.end - word.size(), whole.end};
        const TextStretch rest =
            before ? TextStretch{place.end, whole.end} : TextStretch{whole.begin, place.begin};
        return TypedAside{
            .place = place,
            .message = fmt::format("{} has no place in a quantity", in_quotes(scanner.text(place))),
            .instead = std::string(scanner.text(rest))};
    }
    return std::nullopt;
}

// One side of "+10 % / -15 %".
struct OneSided {
    bool up = false;
    double size = 0;
    std::string unit;  // "%", or as files write the quantity's own; empty: as the next one's
};

std::optional<OneSided> one_sided(TextScanner& scanner, Dimension dimension) {
    for (const std::string_view between : {"/", ",", "and"}) {
        if (scanner.take(between)) break;
    }
    OneSided side;
    side.up = scanner.take("+");
    const bool down =
        !side.up && (scanner.take("-") || scanner.take("\u2212") || scanner.take("–"));
    if (!side.up && !down) return std::nullopt;
    const auto number = typed_number(scanner);
    if (!number || number->texts.size() != 1) return std::nullopt;
    side.size = TypedAmount{.number = *number}.value();
    scanner.pass_spaces();
    const std::size_t begin = scanner.at();
    while (!scanner.rest().empty() &&
           std::string_view("/,+-").find(scanner.rest().front()) == std::string_view::npos &&
           !scanner.rest().starts_with("\u2212") && !scanner.rest().starts_with("–")) {
        scanner.pass(1);
    }
    std::string_view unit = scanner.text({begin, scanner.at()});
    while (unit.ends_with(' ')) unit.remove_suffix(1);
    if (unit.empty()) return side;
    auto readings = readings_of_unit(unit, Dimension::ratio);
    if (readings.empty()) readings = readings_of_unit(unit, dimension);
    if (readings.size() != 1 || readings.front().converted()) return std::nullopt;
    side.unit = readings.front().unit;
    return side;
}

// A tolerance of which the two sides differ, as limits.
std::optional<TypedAside> uneven(std::string_view text, Dimension dimension) {
    TextScanner scanner(text);
    std::vector<TextError> ignored;
    const auto nominal = typed_amount(scanner, dimension, ignored);
    if (!nominal || nominal->unread() || !nominal->code.empty()) return std::nullopt;
    const auto units =
        nominal->alone() ? readings_without_unit(nominal->value(), dimension) : nominal->units;
    if (units.size() != 1 || units.front().converted()) return std::nullopt;
    scanner.pass_spaces();
    const std::size_t begin = scanner.at();
    auto one = one_sided(scanner, dimension);
    const auto other = one ? one_sided(scanner, dimension) : std::nullopt;
    if (!other || one->up == other->up || other->unit.empty() || !scanner.at_end()) {
        return std::nullopt;
    }
    if (one->unit.empty()) one->unit = other->unit;
    const std::string& unit = units.front().unit;
    const auto distance = [&](const OneSided& side) {
        return side.unit == "%" && unit != "%" ? std::abs(nominal->value()) * side.size / 100
                                               : side.size;
    };
    const auto fits = [&](const OneSided& side) { return side.unit == "%" || side.unit == unit; };
    if (!fits(*one) || !fits(*other)) return std::nullopt;
    const double up = distance(one->up ? *one : *other);
    const double down = distance(one->up ? *other : *one);
    const std::string head = nominal->number.texts.front();
    return TypedAside{.place = {begin, scanner.remainder().begin},
                      .message = "a tolerance that is not alike on both sides is written as limits",
                      .instead = fmt::format("{0} {3} ({1} .. {2} {3})", head,
                                             decimal_text(nominal->value() - down),
                                             decimal_text(nominal->value() + up), unit)};
}

}  // namespace

std::optional<TypedAside> typed_aside(std::string_view text, Dimension dimension) {
    if (auto aside = uneven(text, dimension)) return aside;
    return qualified(text);
}

}  // namespace gapwright
