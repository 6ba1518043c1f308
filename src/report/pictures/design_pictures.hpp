// The pictures of a design's first answer.
#pragma once

#include <vector>

#include "design/design.hpp"
#include "report/html/html_report.hpp"

namespace gapwright {

// "value-windows" where a window is known; none without an answer.
std::vector<NamedPicture> design_pictures(const Design& design);

}  // namespace gapwright
