// The units that texts may use, one row each. Internal to the layer.
#pragma once

#include <optional>
#include <string_view>

#include "units/dimension.hpp"

namespace gapwright {

// A unit as it is written, with its prefix: how many inner units it is.
struct UnitMeaning {
    Dimension dimension;
    double factor;
    double offset = 0;  // added after the factor: °C
};

// The meaning of a unit's text such as "kΩ", "mA", "°C", "%", "years"; none when it is no unit.
// Where a text means two things ("m" alone is a metre) the wanted dimension decides.
std::optional<UnitMeaning> unit_meaning(std::string_view text, Dimension wanted);

}  // namespace gapwright
