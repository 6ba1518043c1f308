// The part of preferred.hpp about the letter code of IEC 60062.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "units/decimal.hpp"
#include "units/preferred.hpp"

namespace gapwright {
namespace {

struct Multiplier {
    char letter;
    int exponent;
};
// IEC 60062:2016, table 2. The small k is the usual one in print, so it comes first.
constexpr auto multipliers =
    std::to_array<Multiplier>({{'G', 9}, {'M', 6}, {'k', 3}, {'K', 3}, {'R', 0}, {'L', -3}});

struct Tolerance {
    char letter;
    double share;
};
// IEC 60062:2016, table 3.
constexpr auto tolerances = std::to_array<Tolerance>({{'B', 0.001},
                                                      {'C', 0.0025},
                                                      {'D', 0.005},
                                                      {'F', 0.01},
                                                      {'G', 0.02},
                                                      {'J', 0.05},
                                                      {'K', 0.1},
                                                      {'M', 0.2}});

constexpr std::size_t most_digits = 9;

// The digits at the start of a text, which is shortened by them.
std::string_view take_digits(std::string_view& text) {
    const std::size_t end = std::min(text.find_first_not_of("0123456789"), text.size());
    const std::string_view digits = text.substr(0, end);
    text.remove_prefix(end);
    return digits;
}

}  // namespace

std::optional<LetterCode> parse_letter_code(std::string_view text) {
    const std::string_view whole = take_digits(text);
    if (text.empty()) return std::nullopt;
    const auto multiplier = std::ranges::find(multipliers, text.front(), &Multiplier::letter);
    if (multiplier == multipliers.end()) return std::nullopt;
    text.remove_prefix(1);
    const std::string_view fraction = take_digits(text);
    const std::size_t digits = whole.size() + fraction.size();
    if (digits == 0 || digits > most_digits) return std::nullopt;
    const auto ohms = decimal_value("0" + std::string(whole) + "." + std::string(fraction) + "0",
                                    multiplier->exponent);
    if (!ohms) return std::nullopt;
    if (text.empty()) return LetterCode{.ohms = *ohms, .tolerance = std::nullopt};
    const auto tolerance = std::ranges::find(tolerances, text.front(), &Tolerance::letter);
    if (tolerance == tolerances.end() || text.size() != 1) return std::nullopt;
    return LetterCode{.ohms = *ohms, .tolerance = tolerance->share};
}

std::string letter_code(double ohms) {
    Decimal decimal = rounded(ohms, 4);
    const std::size_t last = decimal.digits.find_last_not_of('0');
    decimal.digits.resize(last + 1);
    // From 10 mΩ up the letter R serves: R47 is read more easily than 470L.
    const auto multiplier = std::ranges::find_if(multipliers, [&](const Multiplier& m) {
        return decimal.exponent >= m.exponent || (m.letter == 'R' && decimal.exponent >= -2);
    });
    const Multiplier chosen = multiplier == multipliers.end() ? multipliers.back() : *multiplier;
    const std::string number = positional(decimal, chosen.exponent);
    const std::size_t point = std::min(number.find('.'), number.size());
    std::string code = number.substr(0, point);
    if (code == "0") code.clear();
    code += chosen.letter;
    if (point < number.size()) code += number.substr(point + 1);
    return code;
}

std::optional<std::string> marking_code(double ohms, double tolerance) {
    constexpr double alike = 1e-9;
    const auto same = [](double a, double b) { return std::abs(a - b) <= alike * b; };
    if (!(ohms >= 1e-3 * (1 - alike)) || !(ohms < 1e12)) return std::nullopt;
    std::string code = letter_code(ohms);
    const auto read = parse_letter_code(code);
    if (!read || !same(read->ohms, ohms)) return std::nullopt;  // figures were rounded away
    std::ranges::replace(code, 'k', 'K');
    constexpr std::size_t least = 3;  // two figures and the letter
    if (code.size() < least) code += '0';
    const auto letter = std::ranges::find_if(
        tolerances, [&](const Tolerance& t) { return same(tolerance, t.share); });
    if (letter != tolerances.end()) code += letter->letter;
    return code;
}

}  // namespace gapwright
