// Every bound of a proven link and how it stands in its worst case.
#pragma once

#include <vector>
#include "design/design.hpp"

namespace gapwright {

// The least reserve first.
std::vector<Limit> limits_of(const Proof& proof);

// Those that do not hold.
std::vector<Limit> broken_of(const std::vector<Limit>& limits);

}  // namespace gapwright
