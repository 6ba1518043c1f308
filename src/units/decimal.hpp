// Decimal digits of numbers, exactly and without a locale. Internal to the layer.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace gapwright {

// A positive number rounded to a count of significant digits: d.ddd · 10^exponent.
struct Decimal {
    std::string digits;  // "1986", the first one not '0'
    int exponent = 0;    // of the first digit
};

// Requires value > 0 and finite, 1 <= digits <= 17.
Decimal rounded(double value, int digits);

// The digits with the point where it belongs once the number is divided by 10^shift, zeros added
// where the digits do not reach it: {"199", -2} is "0.0199", and "19.9" with a shift of -3.
std::string positional(const Decimal& decimal, int shift = 0);

// The double nearest to mantissa · 10^exponent, the mantissa being digits with at most one point;
// empty when it lies beyond the doubles.
std::optional<double> decimal_value(std::string_view mantissa, int exponent);

}  // namespace gapwright
