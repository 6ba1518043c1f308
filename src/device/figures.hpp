// What cards say of parts: the figures that the laws of this layer take, without the laws, so that
// circuits can name them and not depend on those.
//
// `Field` is the type of each figure: a double, a lane, or the slot in a specimen where the figure
// is found.
#pragma once

namespace gapwright {

// What a card says of a junction.
template <class Field>
struct Junction {
    Field saturation_current;    // A at the reference temperature, above zero
    Field ideality;              // n, about 1 to 2.5
    Field series_resistance;     // Ω
    Field bandgap;               // eV
    Field temperature_exponent;  // x, 3 unless a card says otherwise
};

// What a card says of a transistor, at the reference temperature.
template <class Field>
struct Transistor {
    Field transport_current;     // I_S, A
    Field gain;                  // β, forward
    Field reverse_gain;          // β_R
    Field early_voltage;         // V_A, V
    Field knee_current;          // I_K, A
    Field leak_current;          // I_L, A; zero for none
    Field leak_ideality;         // n_L
    Field collector_resistance;  // R_C, Ω
    Field gain_exponent;         // of (T/T0) in β and β_R, 1.5
};

// What a card says of a field-effect transistor.
template <class Field>
struct Mosfet {
    Field threshold;           // V_th, V at the reference temperature
    Field threshold_slope;     // dV_th/dT, V/K
    Field transconductance;    // K, A/V²
    Field slope_factor;        // n
    Field channel_modulation;  // λ, 1/V
};

// The transfer of a packaged coupler.
template <class Field>
struct Transfer {
    Field photocurrent_ratio;       // A
    Field low_knee;                 // I_N, A
    Field high_knee;                // I_D, A
    Field temperature_coefficient;  // a, 1/K
    Field dark_current;             // I_0 at the reference temperature, A
};

// The emitter of an open pair and where it stands. The intensity is per ampere of emitter current:
// W/sr/A for one that is measured in radiant terms, cd/A in luminous terms.
template <class Field>
struct Beam {
    Field intensity;                // on the axis, per ampere
    Field half_angle;               // θ½, rad: where the intensity has fallen to one half
    Field temperature_coefficient;  // of the light output, 1/K
    Field distance;                 // d, m
    Field angle;                    // θ between axis and receiver, rad
    Field shroud;                   // share of the ambient light kept out
};

// A light-dependent resistor.
template <class Field>
struct LightResistor {
    Field resistance;       // R_ref, Ω
    Field illuminance;      // E_ref, lx
    Field gamma;            // γ
    Field dark_resistance;  // Ω, in parallel
};

// How fast it follows its light.
template <class Field>
struct LightResponse {
    Field rise_time;   // s, towards more light
    Field decay_time;  // s, towards less, at E_ref and above
};

// How an emitter fades.
template <class Field>
struct Life {
    Field to_80_percent;      // s of operation until four fifths of the light are left
    Field at_current;         // I_ref, A
    Field at_temperature;     // K
    Field current_exponent;   // p, 1.5 (common practice)
    Field activation_energy;  // E_a, eV, 0.4 (common practice)
    Field shape;              // b, 0.6 (common practice)
};

// What a card says of a junction's charge.
template <class Field>
struct JunctionCharge {
    Field capacitance;   // C_j, F
    Field transit_time;  // of the current that flows, s
};

// What a card says of a transistor's charge.
template <class Field>
struct TransistorCharge {
    Field base_emitter_capacitance;    // at no voltage, F
    Field base_collector_capacitance;  // at no voltage, F
    Field transit_time;                // τ_F, s
    Field reverse_transit_time;        // τ_R, s
};

}  // namespace gapwright
