#include "units/colour_bands.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string_view>

#include "units/decimal.hpp"

namespace gapwright {
namespace {

using enum BandColour;

constexpr std::array<std::string_view, 12> names = {"black",  "brown", "red",  "orange",
                                                    "yellow", "green", "blue", "violet",
                                                    "grey",   "white", "gold", "silver"};

struct Tolerance {
    BandColour colour;
    double share;
};
// IEC 60062, from memory. Its later editions give grey another meaning; parts that lie in drawers
// follow this one.
constexpr auto tolerances = std::to_array<Tolerance>({{silver, 0.1},
                                                      {gold, 0.05},
                                                      {red, 0.02},
                                                      {brown, 0.01},
                                                      {green, 0.005},
                                                      {blue, 0.0025},
                                                      {violet, 0.001},
                                                      {grey, 0.0005}});
constexpr double without_band = 0.2;  // the tolerance of parts that have no band for it
constexpr double alike = 1e-9;

constexpr int lowest_multiplier = -2;  // silver
constexpr int highest_multiplier = 9;  // white

BandColour multiplier_colour(int exponent) {
    if (exponent < 0) return exponent == -1 ? gold : silver;
    return static_cast<BandColour>(exponent);
}

int multiplier_exponent(BandColour colour) {
    if (colour == gold) return -1;
    if (colour == silver) return -2;
    return static_cast<int>(colour);
}

bool same(double a, double b) {
    return std::abs(a - b) <= alike * b;
}

}  // namespace

std::string_view colour_name(BandColour colour) {
    return names[static_cast<std::size_t>(colour)];
}

std::optional<ColourBands> colour_bands(double ohms, double tolerance) {
    if (!(ohms > 0) || !std::isfinite(ohms)) return std::nullopt;
    const auto last = std::ranges::find_if(
        tolerances, [&](const Tolerance& t) { return same(tolerance, t.share); });
    const bool has_band = last != tolerances.end();
    if (!has_band && !same(tolerance, without_band)) return std::nullopt;

    Decimal decimal = rounded(ohms, 9);
    decimal.digits.resize(decimal.digits.find_last_not_of('0') + 1);
    const bool wide = !has_band || last->share > 0.05 * (1 - alike);
    const std::size_t figures = wide && decimal.digits.size() <= 2 ? 2 : 3;
    if (decimal.digits.size() > figures || (figures == 3 && !has_band)) return std::nullopt;
    decimal.digits.resize(figures, '0');
    const int exponent = decimal.exponent - static_cast<int>(figures) + 1;
    if (exponent < lowest_multiplier || exponent > highest_multiplier) return std::nullopt;

    ColourBands bands;
    for (const char digit : decimal.digits) bands.push_back(static_cast<BandColour>(digit - '0'));
    bands.push_back(multiplier_colour(exponent));
    if (has_band) bands.push_back(last->colour);
    return bands;
}

std::optional<BandedValue> read_colour_bands(std::span<const BandColour> bands) {
    if (bands.size() < 3 || bands.size() > 5) return std::nullopt;
    const std::size_t figures = bands.size() == 5 ? 3 : 2;
    std::string digits;
    for (const BandColour colour : bands.first(figures)) {
        if (colour > white) return std::nullopt;
        digits += static_cast<char>('0' + static_cast<int>(colour));
    }
    if (digits.front() == '0') return std::nullopt;
    BandedValue value{.ohms = *decimal_value(digits, multiplier_exponent(bands[figures])),
                      .tolerance = without_band};
    if (bands.size() == 3) return value;
    const auto last = std::ranges::find(tolerances, bands.back(), &Tolerance::colour);
    if (last == tolerances.end()) return std::nullopt;
    value.tolerance = last->share;
    return value;
}

std::string colour_words(std::span<const BandColour> bands) {
    std::string words;
    for (const BandColour colour : bands) {
        if (!words.empty()) words += ' ';
        words += colour_name(colour);
    }
    return words;
}

}  // namespace gapwright
