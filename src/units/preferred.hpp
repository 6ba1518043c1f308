// Preferred values of IEC 60063 and the letter code of IEC 60062.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace gapwright {

// Values per decade; the number is the enumerator's value.
enum class Series { e3 = 3, e6 = 6, e12 = 12, e24 = 24, e48 = 48, e96 = 96, e192 = 192 };

// The series' values in one decade, ascending, 1 <= value < 10 (IEC 60063:2015; E48 and above are
// 10^(k/n) rounded to three digits, with 9.20 in place of 9.19 in E192).
std::span<const double> preferred_values(Series series);

// The greatest value of the series not above `value` and the least not below it (equal when `value`
// is itself preferred, within 1e-9). Requires value > 0 and finite.
struct PreferredNeighbours {
    double below;
    double above;
};
PreferredNeighbours preferred_neighbours(double value, Series series);

// The value of the series nearest to `value` by ratio. Requires value > 0 and finite.
double nearest_preferred(double value, Series series);

// Letter code: "4k7" -> 4700, "330R" -> 330, "R47" -> 0.47, "1M0" -> 1e6, "10k" -> 1e4 (letters R,
// K or k, M, G; in small values L for milliohms). An optional last letter gives the tolerance:
// B 0.1 %, C 0.25 %, D 0.5 %, F 1 %, G 2 %, J 5 %, K 10 %, M 20 % (IEC 60062:2016, table 3).
// Empty when the text is no letter code.
struct LetterCode {
    double ohms;
    std::optional<double> tolerance;  // 0.05 for 5 %
};
std::optional<LetterCode> parse_letter_code(std::string_view text);

// The letter code of a resistance in ohms: 4700 -> "4k7", 330 -> "330R", 0.47 -> "R47"; below 10 mΩ
// with L, 0.0047 -> "4L7". Up to four significant digits; more are rounded. Requires a value from
// 1 mΩ to 999 GΩ.
std::string letter_code(double ohms);

// The code as parts bear it: a capital K, at least two figures, the tolerance's letter last:
// "4K7J", "1K0F", "R47G", "10K". A tolerance without a letter in the table above is left out. None
// where the code cannot say it: more than four figures, or beyond 1 mΩ to 999 GΩ. (Two figures at
// least: examples of IEC 60062, from memory.)
std::optional<std::string> marking_code(double ohms, double tolerance);

}  // namespace gapwright
