// Which law the points of a part are fitted to, and so which figures and curves its card has.
#pragma once

#include <cstdint>
#include <optional>

#include "card/part_kind.hpp"

namespace gapwright {

enum class FittedLaw : std::uint8_t {
    junction,         // forward voltage over current
    coupler,          // a junction, the transfer of its light, and what receives it
    phototransistor,  // a receiver by itself, over irradiance
    light_resistor,   // resistance over illuminance
};

// None for kinds of which no points can be fitted.
std::optional<FittedLaw> fitted_law(Kind kind);

}  // namespace gapwright
