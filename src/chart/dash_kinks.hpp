// Where a dashed curve's path seems to have changed to another curve.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "chart/stroke.hpp"

namespace gapwright {

// The last place before the first turn that the path's bend on both sides does not explain, of a
// path hidden in part; nothing where there is none. Solid curves may turn as they like: they do
// not come apart where they cross. The first `sure` places are known to be of one curve.
std::optional<std::size_t> first_kink(const std::vector<SeenPoint>& seen, std::size_t sure);

// The last place before the dashes' lengths change for good: another curve's dashes go on there.
// Nothing of solid curves, or where there are fewer than four dashes on either side.
std::optional<std::size_t> pattern_change(const std::vector<SeenPoint>& seen);

}  // namespace gapwright
