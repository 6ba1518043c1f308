// Random links: a drive, one or two gaps, and a stage behind each.
#pragma once

#include <cstdint>

#include "reference/made_link.hpp"

namespace gapwright::reference {

// The same link for the same seed.
MadeLink made_network(std::uint64_t seed);

}  // namespace gapwright::reference
