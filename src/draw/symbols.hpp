// Symbols of parts after IEC 60617, drawn upright about a centre: current flows from top to bottom,
// or from bottom to top when turned.
#pragma once

#include <string>

#include "draw/picture.hpp"

namespace gapwright {

enum class Symbol : unsigned char {
    resistor,
    capacitor,
    inductor,
    contact,
    diode,
    led,  // arrows out, to the right
    zener,
    npn,
    pnp,
    n_mosfet,
    p_mosfet,
    coil,
    load,
    logic_output,
    logic_input,
    phototransistor,           // arrows in, from the left
    light_dependent_resistor,  // arrows in, from the left
    battery,
};

struct SymbolPlace {
    Point centre;
    bool turned = false;  // current flows upwards
    bool closed = false;  // of a contact: drawn as it stands in the state shown
    bool base = false;    // of a phototransistor: its base is led out, to the left
    bool rays = true;     // light in or out as arrows of its own
};

// Half the height of every symbol: its leads end this far above and below the centre.
inline constexpr double symbol_half_height = 24;

// How far a symbol reaches left and right of its centre.
struct SymbolWidth {
    double left;
    double right;
};
SymbolWidth symbol_width(Symbol symbol);

// Whether a third terminal leaves to the left, at the centre's height.
bool has_control(Symbol symbol);

void draw_symbol(Picture& picture, Symbol symbol, const SymbolPlace& place,
                 const std::string& part);

}  // namespace gapwright
