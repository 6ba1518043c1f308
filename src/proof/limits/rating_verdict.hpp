// How the worst case of a limit stands against it, where the limit may only be assumed. Internal to
// the layer.
#pragma once

#include "proof/limits/ratings.hpp"
#include "proof/proof.hpp"

namespace gapwright {

// Fills in `result`'s verdict, whether its limit is stated, and what would settle an unknown one;
// all else of it is there. A stated limit that is passed is broken. Where only an assumed one is
// passed, or a stated one only by the way in which it is assumed to fall with temperature, the
// verdict is unknown. `reserve` is asked of stated limits alone: assumed ones are the least that
// is common, and careful already.
void judge_rating(const LimitBasis& basis, double reserve, RatingResult& result);

}  // namespace gapwright
