// A link drawn up for a need: a whole link file whose resistors are still to be chosen.
#pragma once

#include <string>
#include <vector>

namespace gapwright {

struct Draft {
    std::string input;   // the arrangement of the input side, as people call it
    std::string gap;     // the gap's card or cards
    std::string output;  // the arrangement of the output side
    // The user's file with the circuit written into it: paths, parts (resistors with
    // value = "choose"), states, promises. Everything that the user wrote stands as it stood.
    std::string text;
    // What is written behind it once values are chosen: the need's rate as a signal, and the
    // promise by which waveforms judge it. Empty for a link at rest, and where no level tells a
    // bit.
    std::string in_time = {};
    // Names of resistors whose value sets how fast the output is: the receiver's load.
    std::vector<std::string> sets_speed;
};

}  // namespace gapwright
