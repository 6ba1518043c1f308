// What a sweep with instruments came to, as text and JSON.
#pragma once

#include <string>

#include "instrument/sweep.hpp"

namespace gapwright {

// What to heed before the output goes on.
std::string sweep_cautions();

// The points, how it ended, and what is known of the output.
std::string sweep_text(const SweepResult& result, bool colour);
std::string sweep_json(const SweepResult& result);

}  // namespace gapwright
