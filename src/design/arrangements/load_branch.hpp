// The load's own branch of an output side: the load, what protects the switch from it, and what is
// measured on it. Loads have their standard names: K1 coil, D2 indicator, W1 load.
#pragma once

#include <string>
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"

namespace gapwright {

// The load is a coil, an indicator or a load: something that is switched on and off.
bool load_is_switched(const Circumstances& c);

// supply > load > `below` > return; `below` is a run of parts, "Q1". Returns the name of the node
// between them. With a flyback diode for all but indicators.
std::string draw_load_below_supply(const Circumstances& c, Sketch& sketch,
                                   const std::string& below);

// supply > `above` > load > return, likewise.
std::string draw_load_above_return(const Circumstances& c, Sketch& sketch,
                                   const std::string& above);

// The logic input L1 from the node "signal" to return.
void draw_logic_input(const Circumstances& c, Sketch& sketch);

}  // namespace gapwright
