#include "units/unit_table.hpp"

#include <array>
#include <cstddef>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "source/diagnostics.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

using enum Dimension;

enum class Prefixes { si, none };

struct UnitRow {
    std::string_view text;
    UnitMeaning meaning;
    Prefixes prefixes = Prefixes::si;
};

constexpr UnitMeaning main(Dimension dimension) {
    return {.dimension = dimension, .main_unit = true};
}
constexpr UnitMeaning power_of_ten(Dimension dimension, int exponent) {
    return {.dimension = dimension, .exponent = exponent};
}
constexpr UnitMeaning times(Dimension dimension, double factor) {
    return {.dimension = dimension, .factor = factor};
}

constexpr double hour = 3600;
constexpr double day = 24 * hour;
constexpr double year = 365.25 * day;

constexpr auto units = std::to_array<UnitRow>({
    {"%", power_of_ten(ratio, -2), Prefixes::none},
    {"V", main(voltage)},
    {"A", main(current)},
    {"Ω", main(resistance)},
    {"ohm", main(resistance)},
    {"ohms", main(resistance)},
    {"W", main(power)},
    {"F", main(capacitance)},
    {"H", main(inductance)},
    {"s", main(time)},
    {"min", times(time, 60), Prefixes::none},
    {"h", times(time, hour), Prefixes::none},
    {"hour", times(time, hour), Prefixes::none},
    {"hours", times(time, hour), Prefixes::none},
    {"day", times(time, day), Prefixes::none},
    {"days", times(time, day), Prefixes::none},
    {"year", times(time, year), Prefixes::none},
    {"years", times(time, year), Prefixes::none},
    {"Hz", main(frequency)},
    {"Bd", main(signalling_rate)},
    {"lx", main(illuminance)},
    {"W/m²", main(irradiance)},
    {"W/m2", main(irradiance)},
    {"W/cm²", power_of_ten(irradiance, 4)},
    {"W/cm2", power_of_ten(irradiance, 4)},
    {"cd", main(luminous_intensity)},
    {"W/sr", main(radiant_intensity)},
    {"m", main(length)},
    {"cm", power_of_ten(length, -2), Prefixes::none},
    {"°C", {.dimension = temperature, .offset = 273.15}, Prefixes::none},
    {"K", main(temperature), Prefixes::none},
    {"°", times(angle, std::numbers::pi / 180), Prefixes::none},
    {"deg", times(angle, std::numbers::pi / 180), Prefixes::none},
    {"rad", main(angle)},
    {"eV", main(energy)},
    {"/K", main(per_temperature), Prefixes::none},
    {"1/K", main(per_temperature), Prefixes::none},
    {"%/K", power_of_ten(per_temperature, -2), Prefixes::none},
    {"/V", main(per_voltage), Prefixes::none},
    {"1/V", main(per_voltage), Prefixes::none},
    {"%/V", power_of_ten(per_voltage, -2), Prefixes::none},
    {"A/V²", main(transconductance)},
    {"A/V2", main(transconductance)},
    {"V/K", main(voltage_per_temperature)},
    {"V/°C", main(voltage_per_temperature)},
    {"V/s", main(voltage_rate)},
    {"V/ms", power_of_ten(voltage_rate, 3)},
    {"V/µs", power_of_ten(voltage_rate, 6)},
    {"V/us", power_of_ten(voltage_rate, 6)},
    {"V/ns", power_of_ten(voltage_rate, 9)},
});

struct Prefix {
    std::string_view text;
    int exponent;
};
constexpr auto prefixes = std::to_array<Prefix>({
    {"", 0},
    {"p", -12},
    {"n", -9},
    {"µ", -6},
    {"u", -6},
    {"m", -3},
    {"k", 3},
    {"M", 6},
    {"G", 9},
});

struct Spelling {
    std::string_view written;
    std::string_view meant;
};
constexpr auto spellings = std::to_array<Spelling>({
    {"\u03BC", "µ"},   // small mu for the micro sign
    {"\u2126", "Ω"},   // ohm sign for omega
    {"\u2103", "°C"},  // both in one character
    {"^2", "²"},
});

std::string respelled(std::string_view text) {
    std::string result(text);
    for (const auto& [written, meant] : spellings) {
        for (std::size_t at = 0; (at = result.find(written, at)) != std::string::npos;) {
            result.replace(at, written.size(), meant);
            at += meant.size();
        }
    }
    return result;
}

}  // namespace

std::optional<UnitMeaning> unit_meaning(std::string_view text, Dimension wanted) {
    constexpr std::size_t longest_unit = 16;  // bytes; the longest above has seven, with its prefix
    if (text.size() > longest_unit) return std::nullopt;
    const std::string spelled = respelled(text);
    std::optional<UnitMeaning> found;
    for (const UnitRow& unit : units) {
        if (!std::string_view(spelled).ends_with(unit.text)) continue;
        const std::string_view before =
            std::string_view(spelled).substr(0, spelled.size() - unit.text.size());
        for (const Prefix& prefix : prefixes) {
            if (prefix.text != before) continue;
            if (!before.empty() && unit.prefixes == Prefixes::none) continue;
            UnitMeaning meaning = unit.meaning;
            meaning.exponent += prefix.exponent;
            if (meaning.dimension == wanted) return meaning;
            if (!found) found = meaning;
        }
    }
    return found;
}

std::string nearest_unit(std::string_view text, Dimension dimension) {
    std::vector<std::string> candidates;
    for (const UnitRow& unit : units) {
        if (unit.meaning.dimension != dimension) continue;
        for (const Prefix& prefix : prefixes) {
            if (!prefix.text.empty() && unit.prefixes == Prefixes::none) continue;
            candidates.push_back(std::string(prefix.text) + std::string(unit.text));
        }
    }
    return nearest_name(text, candidates);
}

}  // namespace gapwright
