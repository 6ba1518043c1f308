// Names beside the curves of a plot, rather than in a legend.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "draw/axes.hpp"
#include "draw/labels.hpp"
#include "draw/picture.hpp"

namespace gapwright {

// Names each curve, given in the axes' units, where it runs furthest from the others within `where`
// (pixels); a leader joins the two where the name found no room close by. `labels` must know the
// curves. Curves with an empty name, or with no point within `where`, get none.
void name_curves(Picture& picture, const Axes& axes, Labels& labels, const Box& where,
                 const std::vector<std::vector<Point>>& curves,
                 const std::vector<std::string>& names, std::string_view css);

}  // namespace gapwright
