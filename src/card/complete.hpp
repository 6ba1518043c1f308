// What a description still needs once its table is read. Internal to the layer.
#pragma once

#include "card/description.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// Fills in the defaults of the kind, marked as assumed, and adds a problem for every figure that is
// missing or contradicts another. `place` is the part's or card's.
void complete(Description& description, const Place& place, Problems& problems);

}  // namespace gapwright
