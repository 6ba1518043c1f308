// What readings tell of the link as it was built, in words.
#pragma once

#include <string>
#include <vector>

#include "bench/sessions/built_link.hpp"

namespace gapwright {

// First what the readings narrowed, "U1.photocurrent_ratio: 112 % … 124 % of what its card says",
// then what the proof of the built link says, "As measured, all promises and ratings hold for 14
// years.". A sentence or figure each.
std::vector<std::string> built_words(const BuiltLink& built, const BuiltProof& proof);

}  // namespace gapwright
