#include "units/dimension.hpp"

#include <array>
#include <cstddef>
#include <string_view>

#include "units/unit_table.hpp"

namespace gapwright {
namespace {

using enum Dimension;

// In the order of the enumeration.
constexpr auto rows = std::to_array<DimensionRow>({
    // dimension, unit of engineering text, name, example, how it is stated, units in words
    {ratio, "", "a ratio", "\"120 %\" or \"1.2\"", "a number alone or in percent", "percent"},
    {voltage, "V", "a voltage", "\"5 V\" or \"300 mV\"", "in volts", "volts"},
    {current, "A", "a current", "\"20 mA\" or \"0.1 µA\"", "in amperes", "amperes"},
    {resistance, "Ω", "a resistance", "\"330 Ω\", \"4.7 kΩ\" or \"4k7\"", "in ohms", "ohms",
     Sign::never_negative},
    {power, "W", "a power", "\"0.25 W\" or \"70 mW\"", "in watts", "watts"},
    {capacitance, "F", "a capacitance", "\"100 nF\"", "in farads", "farads", Sign::never_negative},
    {inductance, "H", "an inductance", "\"0.9 H\" or \"10 µH\"", "in henries", "henries",
     Sign::never_negative},
    {time, "s", "a time", "\"20 µs\", \"100000 h\" or \"10 years\"",
     "in seconds, min, h, days or years", "seconds", Sign::never_negative},
    {frequency, "Hz", "a frequency", "\"1 kHz\"", "in hertz", "hertz"},
    {signalling_rate, "Bd", "a signalling rate", "\"31.25 kBd\"", "in bauds", "bauds"},
    {illuminance, "lx", "an illuminance", "\"300 lx\"", "in lux", "lux", Sign::never_negative},
    {irradiance, "W/m²", "an irradiance", "\"10 W/m²\" or \"1 mW/cm²\"",
     "in watts per square metre", "watts per square metre", Sign::never_negative},
    {luminous_intensity, "cd", "a luminous intensity", "\"2 cd\" or \"800 mcd\"", "in candelas",
     "candelas", Sign::never_negative},
    {radiant_intensity, "W/sr", "a radiant intensity", "\"8 mW/sr\"", "in watts per steradian",
     "watts per steradian", Sign::never_negative},
    {length, "m", "a length", "\"8 mm\"", "in metres", "metres", Sign::never_negative},
    {temperature, "°C", "a temperature", "\"25 °C\" or \"298 K\"", "in °C or kelvins", "kelvins"},
    {angle, "°", "an angle", "\"30 °\"", "in degrees", "degrees"},
    {energy, "eV", "an energy", "\"1.12 eV\"", "in electronvolts", "electronvolts"},
    {per_temperature, "%/K", "a temperature coefficient", "\"-0.3 %/K\" or \"0.003 /K\"",
     "per kelvin", "a share per kelvin"},
    {per_voltage, "%/V", "a share per volt", "\"2 %/V\" or \"0.02 /V\"", "per volt",
     "a share per volt"},
    {transconductance, "A/V²", "a transconductance", "\"0.5 A/V²\"", "in amperes per volt squared",
     "amperes per volt squared"},
    {voltage_per_temperature, "V/K", "a voltage per kelvin", "\"-2 mV/K\"", "in volts per kelvin",
     "volts per kelvin"},
    {voltage_rate, "V/s", "a rate of voltage", "\"0.5 V/µs\"", "in volts per second",
     "volts per second"},
});

constexpr bool in_order() {
    for (std::size_t k = 0; k < rows.size(); ++k) {
        if (rows[k].dimension != static_cast<Dimension>(k)) return false;
    }
    return rows.size() == static_cast<std::size_t>(voltage_rate) + 1;
}
static_assert(in_order());

}  // namespace

const DimensionRow& dimension_row(Dimension dimension) {
    return rows[static_cast<std::size_t>(dimension)];
}

std::string_view dimension_name(Dimension dimension) {
    return dimension_row(dimension).name;
}
std::string_view dimension_example(Dimension dimension) {
    return dimension_row(dimension).example;
}
std::string_view dimension_first_example(Dimension dimension) {
    const std::string_view examples = dimension_row(dimension).example;
    const std::size_t begin = examples.find('"') + 1;
    return examples.substr(begin, examples.find('"', begin) - begin);
}
std::string_view dimension_unit(Dimension dimension) {
    return dimension_row(dimension).unit;
}

}  // namespace gapwright
