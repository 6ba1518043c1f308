// Words that text and HTML share. Internal to the layer.
#pragma once

#include <string>
#include <string_view>

#include "proof/proof.hpp"

namespace gapwright {

// A verdict by sign and word, never by colour alone: "✓ kept", "! thin", "✗ broken".
std::string_view verdict_sign(Verdict verdict);

// A key as people say it: "forward_current" → "forward current".
std::string spoken_key(std::string key);

// A share of a spread: "83 %", "over 99 %".
std::string share_of_spread(double share);

// How many specimens were drawn: "100000", or "6804 of 100000" where the user stopped.
std::string drawn_specimens(const Proof& proof);

// A figure as people say it: "R2.value" → "R2", "Q1.gain" → "Q1 gain", "time_on" → "time on".
std::string spoken_figure(const std::string& name);

}  // namespace gapwright
