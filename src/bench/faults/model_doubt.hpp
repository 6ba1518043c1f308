// What no card states of a part, real parts differ in all the same.
#pragma once

#include "link/link.hpp"

namespace gapwright {

// The link with a spread for figures of its models that state none, but that readings of millivolts
// and of open contacts rest on: saturation and transport currents, thresholds, resistances inside
// parts and of contacts. How wide is our own choice, by common practice for parts of one type.
Link with_model_doubt(Link link);

}  // namespace gapwright
