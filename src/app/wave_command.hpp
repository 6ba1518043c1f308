// `gapwright wave`: a link in time.
#pragma once

#include <cstdint>
#include <stop_token>
#include <string>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"

namespace gapwright {

struct WaveCommandOptions {
    std::string file;
    std::string change;     // "off > on", as typed; empty: see run_wave
    bool signal = false;    // the train of [signal]
    bool analogue = false;  // see run_analogue
    std::string disturbed;  // a state in which [disturbance] happens
    std::string sweep;      // a resistor whose value is varied; empty for none
    std::string until;      // a time, as typed; empty: until the link rests
    std::string temperature;
    std::uint64_t samples = 0;  // specimens of a study of delays; 0 for none
    std::uint64_t seed = 1;
    bool json = false;
    std::string csv;  // a file for the curves; empty for none
    PictureFolders pictures;
    bool replace = false;  // files that are there
};

// Without change, signal or disturbed: the first change that a promise speaks of, or else from the
// first state to the second.
ExitStatus run_wave(const WaveCommandOptions& options, const std::stop_token& stop);

}  // namespace gapwright
