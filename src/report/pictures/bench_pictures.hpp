// Where a meter's leads go, on the schematic.
#pragma once

#include "draw/schematic.hpp"

namespace gapwright {

struct Link;
struct Measurement;

// The schematic in the state of a measurement (of a reading with the power off: in the first) with
// the meter on it, and without any flow.
SchematicInput meter_view(const Link& link, const Measurement& measurement);

}  // namespace gapwright
