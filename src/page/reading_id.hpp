// How the page names a reading.
#pragma once

#include <string>

#include "bench/meter/measurement.hpp"

namespace gapwright {

// "on|voltage at coil": the same in every dictionary of a link, so that a page can keep readings
// over a restart.
inline std::string reading_id(const Measurement& measurement) {
    return measurement.state + "|" + measurement.measure;
}

}  // namespace gapwright
