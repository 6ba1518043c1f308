// The last part of a walk uphill, where steps of one coordinate lead no further: along the curved
// crest that the score has about it. Internal to the layer.
#pragma once

#include <vector>

#include "proof/search/local_search.hpp"

namespace gapwright {

// Leads walks that ended inside some ranges on: through points about each, a parabola in the
// coordinates that lie inside (and those at an end from which the way in leads up) is laid, and
// steps are tried to its summit, by shares of that way, and both ways along the direction in which
// it is flattest, which is that of a ridge. Where none gains, the parabola is laid closer, a
// quarter each time, until its points lie within a ten-thousandth of each range (Newton's method
// with each curvature taken as falling: Nocedal and Wright, Numerical Optimization, 2nd ed. 2006,
// section 3.4). At most `turns` parabolas a walk.
void climb_curved(std::vector<Walk>& walks, const ScorePoints& score, int turns);

}  // namespace gapwright
