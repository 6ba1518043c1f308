// The kinds of quantity that links, cards and drawers speak of, and their units.
#pragma once

#include <string_view>

namespace gapwright {

// Inside the program every quantity is a double in the unit named here.
enum class Dimension {
    ratio,                    // 1; text may also say %
    voltage,                  // V
    current,                  // A
    resistance,               // Ω; letter codes of IEC 60062 are understood
    power,                    // W
    capacitance,              // F
    inductance,               // H
    time,                     // s; text may also say min, h, hours, days, years (365.25 days)
    frequency,                // Hz
    signalling_rate,          // Bd
    illuminance,              // lx
    irradiance,               // W/m²; text may also say W/cm²
    luminous_intensity,       // cd
    radiant_intensity,        // W/sr
    length,                   // m
    temperature,              // K; text says °C or K
    angle,                    // rad; text says ° or deg, or rad
    energy,                   // eV (the one unit inside that is not SI: a band gap)
    per_temperature,          // 1/K; text "/K", "1/K", "%/K"
    per_voltage,              // 1/V; text "/V", "1/V", "%/V"
    transconductance,         // A/V²; text "A/V²", "A/V^2", "A/V2"
    voltage_per_temperature,  // V/K; text also "mV/°C"
    voltage_rate,             // V/s; text also "V/µs" …
};

// "a voltage", "a current" …, for messages.
std::string_view dimension_name(Dimension dimension);

// A well-formed example for messages: `"330 Ω", "4.7 kΩ" or "4k7"`.
std::string_view dimension_example(Dimension dimension);

// The first of these without its quotes: `330 Ω`.
std::string_view dimension_first_example(Dimension dimension);

// The unit that engineering text uses: "V", "Ω", "°C" ….
std::string_view dimension_unit(Dimension dimension);

}  // namespace gapwright
