// Points of single parts, for `card fit`, from readings of whole links.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/sessions/record_reading.hpp"
#include "card/points.hpp"
#include "link/link.hpp"

namespace gapwright {

struct PartPoints {
    std::size_t part = 0;  // of the link
    std::vector<MeasuredPoint> points;
};

// Of each diode, LED, zener diode and coupler's emitter the forward voltage at its current, of each
// coupler the collector current at its emitter's, in every state of every session in which these
// were read. A voltage is that across the part, or between two that were read against the return; a
// current that of whatever is in series with it, or of a resistor there whose own resistance was
// read, by Ohm's law. Each point says of which specimen it is, and how far the meter's errors leave
// it uncertain. What flows or stands backwards is left out, and parts without a point.
std::vector<PartPoints> points_of_sessions(const Link& link,
                                           const std::vector<PastSession>& sessions,
                                           const std::vector<Measurement>& measurements);

}  // namespace gapwright
