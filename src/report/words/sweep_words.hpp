// What a sweep with instruments came to, as text and JSON.
#pragma once

#include <string>
#include <vector>

#include "instrument/sweep.hpp"

namespace gapwright {

// What there is to be told of a sweep besides its readings.
struct SweepTelling {
    bool fed = false;        // by a second supply
    bool simulated = false;  // by a bench that is not there
    std::vector<std::string> remarks = {};
};

// What to heed before the output goes on. `fed`: by a second supply; `apart`: which has no wire in
// common with the first.
std::string sweep_cautions(bool fed, bool apart);

// That no instrument is asked; the first line of everything that a simulated bench comes to.
std::string simulated_words();

// The points, how it ended, and what is known of each output.
std::string sweep_text(const SweepResult& result, const SweepTelling& telling, bool colour);
std::string sweep_json(const SweepResult& result, const SweepTelling& telling);

// What is known of the outputs: a line for each.
std::string output_lines(const SweepResult& result);

}  // namespace gapwright
