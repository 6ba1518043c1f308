// Sentences about parts that go onto a board. Internal to the layer.
#pragma once

#include <cstddef>
#include <string>
#include "build/steps.hpp"

namespace gapwright::steps {

// "R1, 330 Ω ± 5 % …: into c3 and c7; either way round": what it is, its holes, how its ends are
// told apart. `part` of the wiring stands on the board.
std::string placing(const StepSources& sources, std::size_t part);

// "L1, 5 V logic input: pin to j14; its own return is that of the output supply". `part` stands
// beside the board.
std::string placing_lead(const StepSources& sources, std::size_t part);

// How the halves of a gap made by hand face each other.
std::string pair_words(const Part& pair);

}  // namespace gapwright::steps
