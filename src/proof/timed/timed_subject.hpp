// What a promise in time speaks of: in words, and as a measure of waveforms.
#pragma once

#include <string>

#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {

// "voltage data reaches 3.5 V"; of the signal the promise's own text.
std::string timed_subject(const Promise& promise);

// The measure of a promise about a change or the signal (but for the highest rate), at the signal's
// own rate.
TimedMeasure timed_measure_of(const Link& link, const LinkCircuit& circuit, const Promise& promise);

}  // namespace gapwright
