// Internal to the layer.
#pragma once

#include <cstddef>
#include <limits>

namespace gapwright {

// A bound of the rounding of a sum of `terms` products, as a share of the sum of their sizes; twice
// what it must be, since the sizes are rounded as well.
inline double rounding_share(std::size_t terms) {
    return static_cast<double>(terms) * std::numeric_limits<double>::epsilon();
}

}  // namespace gapwright
