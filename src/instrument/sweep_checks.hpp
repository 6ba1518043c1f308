// Which readings of a sweep may not be. Internal to the layer.
#pragma once

#include "instrument/channel.hpp"
#include "instrument/sweep_plan.hpp"
#include "instrument/sweep_point.hpp"

namespace gapwright {

// What ends a sweep, with `voltage_limit` the supply's at this point, V. implausible: the supply
// gives more current than it was set to or is at its voltage limit; leads are exchanged; a meter
// reads more than the supplies give; the second supply is at its current limit.
InstrumentExpected<void> judge(const SweepPoint& point, const SweepPlan& plan,
                               double voltage_limit);

}  // namespace gapwright
