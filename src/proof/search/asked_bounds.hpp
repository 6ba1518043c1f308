// Bounds that promises and stated limits ask of the targets of one search. Internal to the layer.
#pragma once

#include <cstddef>
#include <vector>

#include "proof/search/worst_case.hpp"

namespace gapwright {

// A bound of one target, as badness: it holds up to `limit`; `nominal_limit` is what it is when
// nothing varies.
struct AskedBound {
    std::size_t target = 0;
    double limit = 0;
    double nominal_limit = 0;
};

// Whether the worst case that was found holds.
bool holds(const AskedBound& bound, const std::vector<Target>& targets, const WorstCases& worst);

// Of very many bounds the one of each kin that is nearest to its limit: stretches of the others are
// longer, or nearly so. Few come back as they are.
std::vector<AskedBound> nearest_of_each_kin(std::vector<AskedBound> asked,
                                            const std::vector<Target>& targets,
                                            const WorstCases& worst);

}  // namespace gapwright
