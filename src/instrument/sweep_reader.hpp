// The instruments of a sweep together: all that one point is read from. Internal to the layer.
#pragma once

#include <optional>
#include <stop_token>

#include "instrument/channel.hpp"
#include "instrument/supply.hpp"
#include "instrument/sweep_plan.hpp"
#include "instrument/sweep_point.hpp"

namespace gapwright {

// Those that have been met; supplies belong to their guards.
struct MetInstruments {
    Supply* supply = nullptr;
    Supply* feed = nullptr;  // none without a second supply
    std::optional<Multimeter> meter = {};

    int slips() const;             // of all: see Conversation::slips
    double latest_answer() const;  // s, of all: see Conversation::latest_answer
    double settle() const;         // s that the slowest of them wants before a reading
};

// Reads one point, looks at the error queues, and notes the readings. What comes just before an
// answer out of step is read anew: it may have been out of step already. Errors: those of the
// instruments; wrong_answer where answers do not fall in step.
InstrumentExpected<void> read_point(MetInstruments& instruments, MeterPlace place,
                                    const std::stop_token& stop, SweepPoint& point,
                                    SweepReadings& readings);

}  // namespace gapwright
