// A sketch as the text of a link file.
#pragma once

#include <string>
#include "design/arrangements/sketch.hpp"
#include "link/need.hpp"

namespace gapwright {

// The need's file with the sketch written into it: paths where they belong, [parts], [states] and
// promises below. Nothing that stood there changes; line ends are the file's.
std::string draft_text(const Need& need, const Sketch& sketch);

// The signal of the need's rate and the promise that its pulses keep their width; empty where the
// need has no rate or its load is no logic input.
std::string in_time_text(const Need& need, const Sketch& sketch);

}  // namespace gapwright
