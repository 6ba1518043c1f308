// What a load does in a state, as somebody sees it who stands before it.
#pragma once

#include <optional>
#include <string>

#include "card/description.hpp"

namespace gapwright {

struct Doing {
    bool active = false;    // it is on: lit, pulled in, reads high
    std::string word = {};  // what it does; empty where its card does not tell from when
};

// At the nominal point. `current` through it in A, 0 where none flows that a meter shows; `pin` the
// voltage at it in V, of a logic input, none where it is not known. Between its limits a load's
// word is "between".
Doing what_it_does(const Description& load, double current, std::optional<double> pin);

}  // namespace gapwright
