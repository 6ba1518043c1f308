// A first estimate of how fast a gap is, for leaving out what is far too slow. Waveforms are not
// worked out here.
#pragma once

#include <optional>
#include <string>

#include "card/description.hpp"

namespace gapwright {

// The largest resistance of a receiver's load, Ω, with which edges take no more than half a bit at
// `rate` bits a second: 2.2 · R · C · gain, with the collector–base capacitance that the receiver's
// gain enlarges (common practice; base not connected). Nothing for a receiver that is no
// transistor.
std::optional<double> slowest_load(const Description& receiver, double rate);

// Why a receiver cannot follow `rate` whatever its load: a light-dependent resistor that takes
// longer to rise or decay than half a bit. Empty when it can.
std::string too_slow(const Description& receiver, double rate);

}  // namespace gapwright
