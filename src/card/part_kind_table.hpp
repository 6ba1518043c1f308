// The table behind part_kind.hpp. Internal to the layer.
#pragma once

#include <vector>

#include "card/part_kind.hpp"

namespace gapwright {

std::vector<KindRule> make_kind_rules();

}  // namespace gapwright
