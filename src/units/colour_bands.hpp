// Colour bands of resistors, IEC 60062 (as listed from memory: no copy of the standard is at hand).
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace gapwright {

// Black to white stand for the figures 0 to 9; gold and silver for none.
enum class BandColour : std::uint8_t {
    black,
    brown,
    red,
    orange,
    yellow,
    green,
    blue,
    violet,
    grey,
    white,
    gold,
    silver,
};

std::string_view colour_name(BandColour colour);  // "black", "brown" …

// The bands of one resistor in the order of reading: figures, multiplier, tolerance.
using ColourBands = std::vector<BandColour>;

// The bands of a resistance in Ω with a tolerance as a share (0.05 for 5 %). Two figures where two
// are enough and the tolerance is 5 % or wider, three otherwise; 20 % has no band of its own, so
// that such parts have three bands in all. None where bands cannot say it: more than three figures
// (three at 20 %), a multiplier below 0.01 or above 10⁹, zero, or a tolerance other than 20, 10, 5,
// 2, 1, 0.5, 0.25, 0.1 and 0.05 %. Equal means within 1e-9.
std::optional<ColourBands> colour_bands(double ohms, double tolerance);

// What bands say.
struct BandedValue {
    double ohms = 0;
    double tolerance = 0;  // share
};

// Reads three to five bands. None for bands that no part has: another number of them, gold or
// silver among the figures, black as the first, a last band that is no tolerance.
std::optional<BandedValue> read_colour_bands(std::span<const BandColour> bands);

// "yellow violet red gold".
std::string colour_words(std::span<const BandColour> bands);

}  // namespace gapwright
