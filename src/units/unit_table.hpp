// What the units of texts and the kinds of quantity are, as tables. Internal to the layer.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "units/dimension.hpp"

namespace gapwright {

enum class Sign { any, never_negative };

// One kind of quantity; dimension.cpp holds the table.
struct DimensionRow {
    Dimension dimension;
    std::string_view unit;     // of engineering text
    std::string_view name;     // "a resistance"
    std::string_view example;  // of its text
    std::string_view stated;   // "a resistance is …": "in ohms"
    std::string_view words;    // what its unit is called when it stands in a wrong place: "ohms"
    Sign sign = Sign::any;
};
const DimensionRow& dimension_row(Dimension dimension);

// A unit as it was written, prefix and all. A number x in it is, in the dimension's inner unit,
// x · 10^exponent · factor + offset.
struct UnitMeaning {
    Dimension dimension;
    int exponent = 0;
    double factor = 1;
    double offset = 0;       // of °C; differences leave it out
    bool main_unit = false;  // the dimension's own unit or a spelling of it, with or without prefix
};

// The meaning of "kΩ", "mA", "°C", "%", "years" …; none when the text is no unit. Where it means
// two things the wanted dimension decides.
std::optional<UnitMeaning> unit_meaning(std::string_view text, Dimension wanted);

// The unit of that dimension whose spelling is nearest to `text`, as "KΩ" is to "kΩ"; empty when
// none is near.
std::string nearest_unit(std::string_view text, Dimension dimension);

}  // namespace gapwright
