#include "units/unit_word_table.hpp"

#include <array>
#include <cstddef>
#include <numbers>
#include <span>

#include "units/dimension.hpp"

namespace gapwright {
namespace {

using enum Dimension;
using enum Prefixed;

constexpr double inch = 25.4;  // mm
constexpr double week = 7;     // days
constexpr double month = 1.0 / 12;
constexpr double peak = std::numbers::sqrt2;
constexpr double kelvins_per_degree_f = 5.0 / 9;
constexpr double celsius_at_zero_f = -160.0 / 9;
constexpr double ppm = 1e-4;  // %

constexpr auto words = std::to_array<UnitWords>({
    {ratio, "%|percent|pct", "%", no},
    {voltage, "v|volt|volts|vdc|v/dc|voltdc|voltsdc", "V"},
    {voltage, "vac|v/ac|vrms", "V", yes, 1, 0, "where an r.m.s. value is asked for"},
    {voltage, "vac|v/ac|vrms", "V", yes, peak, 0, "its peak"},
    {current, "a|amp|amps|ampere|amperes|adc|a/dc", "A"},
    {resistance, "Ω|ohm|ohms", "Ω"},
    {resistance, "r|e", "Ω", no},
    {resistance, "kilohm|kilohms", "kΩ", no},
    {power, "w|watt|watts", "W"},
    {capacitance, "f|fd|farad|farads", "F"},
    {capacitance, "mf|mfd", "µF", no},  // as old parts are marked
    {inductance, "h|henry|henrys|henries", "H"},
    {time, "s|sec|secs|second|seconds", "s"},
    {time, "m", "ms", no},
    {time, "m|min|mins|minute|minutes", "min", no},
    {time, "h|hr|hrs|hour|hours", "h", no},
    {time, "d|day|days", "days", no},
    {time, "week|weeks", "days", no, week},
    {time, "month|months", "years", no, month},
    {time, "y|yr|yrs|year|years", "years", no},
    {frequency, "hz|hertz", "Hz"},
    {frequency, "bd|baud|bauds", "Hz", yes, 0.5, 0, "a period holds two symbols"},
    {signalling_rate, "bd|baud|bauds", "Bd"},
    {signalling_rate, "hz|hertz", "Bd", yes, 2, 0, "two symbols per period"},
    {signalling_rate, "bps|bit/s|bits/s", "Bd", yes, 1, 0, "where a bit is one symbol"},
    {signalling_rate, "bps|bit/s|bits/s", "Bd", yes, 2, 0, "where a bit is two symbols"},
    {illuminance, "lx|lux", "lx"},
    {illuminance, "lm/m²|lm/m2", "lx", no},
    {irradiance, "w/m²|w/m2", "W/m²"},
    {irradiance, "w/cm²|w/cm2", "W/cm²"},
    {luminous_intensity, "cd|candela|candelas", "cd"},
    {radiant_intensity, "w/sr", "W/sr"},
    {length, "m|meter|meters|metre|metres", "m"},
    {length, "cm|centimeter|centimeters|centimetre|centimetres", "cm", no},
    {length, "in|inch|inches|\"", "mm", no, inch},
    {length, "mil|mils|thou", "mm", no, inch / 1000},
    {temperature, "°|°c|c|deg|degc|degree|degreec|degrees|degreesc|celsius|degreescelsius", "°C",
     no},
    {temperature, "k|°k|kelvin|kelvins", "K", no},
    {temperature, "f|°f|degf|fahrenheit", "°C", no, kelvins_per_degree_f, celsius_at_zero_f},
    {angle, "°|deg|degs|degree|degrees", "°", no},
    {angle, "rad|radian|radians", "rad"},
    {energy, "ev|electronvolt|electronvolts", "eV"},
    {per_temperature, "/k|1/k|/°c|/c|1/°c|1/c", "/K", no},
    {per_temperature, "%/k|%/°c|%/c|%/degc", "%/K", no},
    {per_temperature, "ppm/k|ppm/°c|ppm/c", "%/K", no, ppm},
    {per_voltage, "/v|1/v", "/V", no},
    {per_voltage, "%/v", "%/V", no},
    {transconductance, "a/v²|a/v2", "A/V²"},
    {voltage_per_temperature, "v/k|v/°c|v/c|v/degc", "V/K"},
    {voltage_rate, "v/s|v/sec", "V/s"},
    {voltage_rate, "v/ms", "V/ms"},
    {voltage_rate, "v/µs|v/us|v/usec", "V/µs"},
    {voltage_rate, "v/ns", "V/ns"},
});

constexpr auto prefixes = std::to_array<PrefixWord>({
    {"p", "p"},
    {"pico", "p"},
    {"n", "n"},
    {"nano", "n"},
    {"u", "µ"},
    {"µ", "µ"},
    {"micro", "µ"},
    {"m", "m"},
    {"m", "M"},
    {"milli", "m"},
    {"meg", "M"},
    {"mega", "M"},
    {"k", "k"},
    {"kilo", "k"},
    {"g", "G"},
    {"giga", "G"},
});

// In the order of the enumeration. Own choices: what is usual in the trade and what is not.
constexpr auto alone = std::to_array<AloneRow>({
    {ratio, "", ""},
    {voltage, "V", "µm"},
    {current, "mA|A", "pnµm"},
    {resistance, "Ω", "mkMG"},
    {power, "W|mW", "µm", 5},  // no part is rated below 5 mW
    {capacitance, "pF|nF|µF|F", "pnµm"},
    {inductance, "µH|mH|H", "nµm"},
    {time, "µs|ms|s|h|years", "pnµ"},
    {frequency, "Hz", "mkMG"},
    {signalling_rate, "Bd", "mkM"},
    {illuminance, "lx", ""},
    {irradiance, "W/m²|mW/cm²", ""},
    {luminous_intensity, "mcd|cd", "m"},
    {radiant_intensity, "mW/sr|W/sr", "m"},
    {length, "mm|cm|m", ""},
    {temperature, "°C", ""},
    {angle, "°", ""},
    {energy, "eV", ""},
    {per_temperature, "%/K|/K", ""},
    {per_voltage, "%/V|/V", ""},
    {transconductance, "mA/V²|A/V²", ""},
    {voltage_per_temperature, "mV/K|V/K", "pnµ"},
    {voltage_rate, "V/µs|V/ms", ""},
});

constexpr bool in_order() {
    for (std::size_t k = 0; k < alone.size(); ++k) {
        if (alone[k].dimension != static_cast<Dimension>(k)) return false;
    }
    return alone.size() == static_cast<std::size_t>(voltage_rate) + 1;
}
static_assert(in_order());

}  // namespace

std::span<const UnitWords> unit_words() {
    return words;
}

std::span<const PrefixWord> prefix_words() {
    return prefixes;
}

const AloneRow& alone_row(Dimension dimension) {
    return alone[static_cast<std::size_t>(dimension)];
}

}  // namespace gapwright
