// What a part looks like in the hand: what it is called, and what is printed on it.
#pragma once

#include <optional>
#include <string>

#include "card/description.hpp"
#include "card/drawer.hpp"
#include "card/part_kind.hpp"
#include "units/colour_bands.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

struct PartLook {
    Kind kind = Kind::resistor;
    std::string text;             // "4.7 kΩ ± 5 %, 0.25 W", "Medium npn transistor"
    std::string card;             // the name of its card; empty for none
    std::optional<Spread> value;  // Ω, F, H; of resistors, capacitors, inductors
    std::optional<double> power;  // W, as stated; of resistors
    // Of resistors whose value and tolerance bands and codes can say (units/colour_bands.hpp,
    // units/preferred.hpp).
    std::optional<ColourBands> bands;
    std::string marking;  // "4K7J"; empty for none
};

// As a link describes it.
PartLook look_of(const Description& part);

// As a row of the drawer describes it; `name` is that of its card, where it has one.
PartLook look_of(const DrawerRow& row, const std::string& name);

// "4.7 kΩ ± 5 %", "1.2 V (1.1 … 1.35 V)", "5 V".
std::string spread_text(const Spread& value, Dimension dimension);

}  // namespace gapwright
