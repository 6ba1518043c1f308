#include "units/unit_table.hpp"

#include <array>
#include <numbers>

#include "units/dimension.hpp"

namespace gapwright {
namespace {

using D = Dimension;

struct UnitRow {
    std::string_view text;
    D dimension;
    double factor = 1;
    bool prefixes = true;  // SI prefixes may stand before it
    double offset = 0;
};

constexpr double day = 86400;
constexpr double year = 365.25 * day;

constexpr auto units = std::to_array<UnitRow>({
    {"V", D::voltage},
    {"A", D::current},
    {"Ω", D::resistance},
    {"\xE2\x84\xA6", D::resistance},  // U+2126, the ohm sign
    {"ohm", D::resistance},
    {"ohms", D::resistance},
    {"W", D::power},
    {"F", D::capacitance},
    {"H", D::inductance},
    {"s", D::time},
    {"min", D::time, 60, false},
    {"h", D::time, 3600, false},
    {"hour", D::time, 3600, false},
    {"hours", D::time, 3600, false},
    {"day", D::time, day, false},
    {"days", D::time, day, false},
    {"year", D::time, year, false},
    {"years", D::time, year, false},
    {"Hz", D::frequency},
    {"Bd", D::signalling_rate},
    {"lx", D::illuminance},
    {"W/m²", D::irradiance},
    {"W/m^2", D::irradiance},
    {"W/m2", D::irradiance},
    {"W/cm²", D::irradiance, 1e4},
    {"W/cm^2", D::irradiance, 1e4},
    {"W/cm2", D::irradiance, 1e4},
    {"cd", D::luminous_intensity},
    {"W/sr", D::radiant_intensity},
    {"m", D::length},
    {"cm", D::length, 1e-2, false},
    {"°C", D::temperature, 1, false, 273.15},
    {"\xE2\x84\x83", D::temperature, 1, false, 273.15},  // U+2103
    {"K", D::temperature, 1, false},
    {"°", D::angle, std::numbers::pi / 180, false},
    {"deg", D::angle, std::numbers::pi / 180, false},
    {"rad", D::angle, 1, false},
    {"eV", D::energy, 1, false},
    {"%", D::ratio, 1e-2, false},
    {"", D::ratio, 1, false},
    {"/K", D::per_temperature, 1, false},
    {"1/K", D::per_temperature, 1, false},
    {"/°C", D::per_temperature, 1, false},
    {"%/K", D::per_temperature, 1e-2, false},
    {"%/°C", D::per_temperature, 1e-2, false},
    {"/V", D::per_voltage, 1, false},
    {"1/V", D::per_voltage, 1, false},
    {"%/V", D::per_voltage, 1e-2, false},
    {"A/V²", D::transconductance},
    {"A/V^2", D::transconductance},
    {"A/V2", D::transconductance},
    {"V/s", D::voltage_rate},
    {"V/ms", D::voltage_rate, 1e3},
    {"V/µs", D::voltage_rate, 1e6},
    {"V/\xCE\xBCs", D::voltage_rate, 1e6},
    {"V/us", D::voltage_rate, 1e6},
    {"V/ns", D::voltage_rate, 1e9},
});

struct Prefix {
    std::string_view text;
    double factor;
};
constexpr auto prefixes = std::to_array<Prefix>({
    {"p", 1e-12},
    {"n", 1e-9},
    {"u", 1e-6},
    {"µ", 1e-6},         // U+00B5
    {"\xCE\xBC", 1e-6},  // U+03BC
    {"m", 1e-3},
    {"k", 1e3},
    {"M", 1e6},
    {"G", 1e9},
});

std::optional<double> prefix_factor(std::string_view text) {
    if (text.empty()) return 1.0;
    for (const auto& prefix : prefixes) {
        if (prefix.text == text) return prefix.factor;
    }
    return std::nullopt;
}

struct DimensionRow {
    std::string_view name;
    std::string_view example;
    std::string_view unit;
};
// In the order of the enumeration.
constexpr auto dimensions = std::to_array<DimensionRow>({
    {"a pure ratio", "\"120 %\" or 1.2", ""},
    {"a voltage", "\"5 V\" or \"9 V (7 .. 9.6 V)\"", "V"},
    {"a current", "\"20 mA\"", "A"},
    {"a resistance", "\"330 Ω\", \"4.7 kΩ\" or \"4k7\"", "Ω"},
    {"a power", "\"0.25 W\"", "W"},
    {"a capacitance", "\"100 nF\"", "F"},
    {"an inductance", "\"0.9 H\"", "H"},
    {"a time", "\"20 µs\" or \"10 years\"", "s"},
    {"a frequency", "\"1 kHz\"", "Hz"},
    {"a signalling rate", "\"31.25 kBd\"", "Bd"},
    {"an illuminance", "\"300 lx\"", "lx"},
    {"an irradiance", "\"10 W/m²\"", "W/m²"},
    {"a luminous intensity", "\"2 cd\"", "cd"},
    {"a radiant intensity", "\"8 mW/sr\"", "W/sr"},
    {"a length", "\"8 mm\"", "m"},
    {"a temperature", "\"25 °C\" or \"-10 .. 45 °C\"", "°C"},
    {"an angle", "\"17 °\"", "°"},
    {"an energy", "\"1.12 eV\"", "eV"},
    {"a temperature coefficient", "\"-0.5 %/K\"", "/K"},
    {"a share per volt", "\"0.01 /V\"", "/V"},
    {"a transconductance", "\"0.5 A/V²\"", "A/V²"},
    {"a rate of change", "\"500 V/µs\"", "V/s"},
});
static_assert(dimensions.size() == static_cast<std::size_t>(D::voltage_rate) + 1);

const DimensionRow& row(D dimension) { return dimensions[static_cast<std::size_t>(dimension)]; }

}  // namespace

std::optional<UnitMeaning> unit_meaning(std::string_view text, Dimension wanted) {
    std::optional<UnitMeaning> found;
    for (const auto& unit : units) {
        if (!text.ends_with(unit.text)) continue;
        const auto before = text.substr(0, text.size() - unit.text.size());
        if (!before.empty() && !unit.prefixes) continue;
        const auto factor = prefix_factor(before);
        if (!factor) continue;
        const UnitMeaning meaning{unit.dimension, *factor * unit.factor, unit.offset};
        if (unit.dimension == wanted) return meaning;
        if (!found) found = meaning;
    }
    return found;
}

std::string_view dimension_name(Dimension dimension) { return row(dimension).name; }
std::string_view dimension_example(Dimension dimension) { return row(dimension).example; }
std::string_view dimension_unit(Dimension dimension) { return row(dimension).unit; }

}  // namespace gapwright
