// A link with values still to be chosen as the page shows it. Unjudged of the contract.
#pragma once

#include <string>

#include "page/judged.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// Requires a link with values to be chosen. `state` is the one in the schematic; the first where
// there is none of the name.
Json unjudged_view(const Judged& judged, const std::string& state);

}  // namespace gapwright
