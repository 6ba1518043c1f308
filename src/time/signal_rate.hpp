// Signals of a link, and how fast they may be.
#pragma once

#include <cstddef>
#include <expected>
#include <optional>
#include <vector>

#include "circuit/network.hpp"
#include "link/link.hpp"
#include "population/specimen.hpp"
#include "time/timed_measure.hpp"
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

// The schedule of a signal at `speed` times its rate: enough pulses that the last is like any.
Schedule signal_train(const Signal& signal, double speed = 1);
// The same as a pattern of bits.
Schedule signal_pattern(const Signal& signal, double speed = 1);

// A promise about the signal, as a measure at the signal's own rate and the bounds it has.
struct SignalBound {
    TimedMeasure measure;
    std::optional<double> at_least;
    std::optional<double> at_most;  // of the size, either sign
};

// The highest rate of one specimen at which every bound holds, as a multiple of the signal's own,
// and which of the bounds ends it. Found by bisection to 2 %; a bound that held, did not and held
// again as the rate rose would be missed. Looks from 1/256 to 256 times the rate.
struct HighestRate {
    double speed = 0;          // 0: not even the lowest looked at
    std::size_t limiting = 0;  // by bound
    bool unlimited = false;    // the highest looked at still holds
};
std::expected<HighestRate, WaveFailure> highest_rate(const Circuit& circuit,
                                                     const Specimen& specimen, const Signal& signal,
                                                     const std::vector<SignalBound>& bounds,
                                                     const WaveOptions& options = {});

}  // namespace gapwright
