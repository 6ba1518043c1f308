// Text of quantities and spreads, as `docs/files.md` defines them, into doubles.
#pragma once

#include <cstddef>
#include <expected>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "source/diagnostics.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// A nominal value and how far real specimens lie from it.
// Invariant of every parsed spread: finite, lowest <= nominal <= highest.
struct Spread {
    double nominal = 0;
    double lowest = 0;
    double highest = 0;

    bool varies() const { return lowest < highest; }
};
inline Spread exactly(double value) {
    return {value, value, value};
}

// Why a text was refused, with the bytes [begin, end) of the text that are wrong.
struct TextError {
    Cause cause;
    std::size_t begin = 0;
    std::size_t end = 0;
    std::string message;
    std::string remedy;
};
template <class T>
using TextExpected = std::expected<T, TextError>;

// One quantity without spread: `"330 Ω"`, `"4k7"`, `"-10 °C"`, `"10 years"`.
// Accepted besides: spaces of any kind between number and unit, or none; `µ` and `μ`; `Ω` (either
// code point) and `ohm`; `−` for a minus sign. Exponents as in `3.2e-3`. Errors: not_a_quantity,
// wrong_unit, missing_unit, out_of_range (not finite; below absolute zero; a resistance,
// capacitance, inductance, time, length, illuminance or intensity below zero).
TextExpected<double> parse_quantity(std::string_view text, Dimension dimension);

// A quantity that may carry a spread: `"330 Ω ± 5 %"` (also `+-`), `"9 V ± 0.5 V"`,
// `"4.75 .. 5.25 V"` (the unit may stand on both ends), `"120 % (80 .. 160 %)"`.
// A percentage after ± is always relative to the nominal. Errors: as above, and empty_spread
// (lowest > highest, nominal outside its limits). The limits obey the same ranges as the nominal.
TextExpected<Spread> parse_spread(std::string_view text, Dimension dimension);

// `X at Y, Z …`: a spread with the conditions it holds at, `"1.2 V (1.1 .. 1.35 V) at 10 mA"`,
// `"120 % (80 .. 160 %) at 5 mA, 5 V"`. `conditions` says which quantities follow `at`, in order,
// all of them needed. Errors: as above; not_a_quantity with the form expected when `at` or a
// condition is missing or left over.
struct SpreadAt {
    Spread spread;
    std::vector<double> conditions;
};
TextExpected<SpreadAt> parse_spread_at(std::string_view text, Dimension dimension,
                                       std::span<const Dimension> conditions);

}  // namespace gapwright
