// A link as the way of an analogue signal, as text and as JSON.
#pragma once

#include <string>

#include "link/link.hpp"
#include "report/text/verdict_text.hpp"
#include "time/analogue.hpp"

namespace gapwright {

std::string analogue_text(const Link& link, const AnalogueAnswer& answer, const TextStyle& style);

// SI units: "title", "state", "drive", "bias", "swing", "output", "gain", "bandwidth" (null: flat
// as far as it was looked at), "harmonics" as shares, "best_bias" (null: no drive qualifies).
std::string analogue_json(const Link& link, const AnalogueAnswer& answer);

}  // namespace gapwright
