// Units as people write them, into units as files write them. Internal to the layer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "units/dimension.hpp"

namespace gapwright {

// One thing that a typed unit may mean. A number x in it is x · factor + offset in `unit`.
struct UnitReading {
    std::string unit;  // as files write it: "kΩ"; empty for a pure ratio
    double factor = 1;
    double offset = 0;
    std::string_view why = {};  // for the remedy: "two symbols per period"

    bool converted() const { return factor != 1 || offset != 0; }
};

// All that `typed` may mean as a unit of the dimension; empty: nothing. A unit that files take
// means itself alone.
std::vector<UnitReading> readings_of_unit(std::string_view typed, Dimension dimension);

// All that a number may mean which stands alone.
std::vector<UnitReading> readings_without_unit(double number, Dimension dimension);

}  // namespace gapwright
