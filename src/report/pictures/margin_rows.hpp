// Promises and ratings as rows of a picture of margins.
#pragma once

#include "draw/plots.hpp"

namespace gapwright {

struct PromiseResult;
struct RatingResult;

// Requires a worst value that is reached (see is_never): no bar is longer than that.
MarginRow margin_row(const PromiseResult& promise);
MarginRow margin_row(const RatingResult& rating);

}  // namespace gapwright
