// The faults of single parts, kind by kind. Internal to the layer.
#pragma once

#include <cstddef>
#include "bench/faults/fault_list.hpp"

namespace gapwright::faults {

// All faults of part number `k` by itself.
void add_part_faults(List& list, std::size_t k);

}  // namespace gapwright::faults
