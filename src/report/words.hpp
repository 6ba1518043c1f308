// Words that text and HTML share. Internal to the layer.
#pragma once

#include <string>
#include <string_view>

#include "proof/verdict.hpp"

namespace gapwright {

// A verdict by sign and word, never by colour alone: "✓ kept", "! thin", "✗ broken".
std::string_view verdict_sign(Verdict verdict);

// A key as people say it: "forward_current" → "forward current".
std::string spoken_key(std::string key);

}  // namespace gapwright
