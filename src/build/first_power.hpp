// What each supply gives before the gap's parts are in, so that a person sees a wrong wire on a
// meter before it costs a coupler.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"

namespace gapwright {

// The supply's current of a side in a state, A; new parts, the link's temperatures.
struct FirstCurrent {
    Side side = Side::input;
    std::string state;
    double nominal = 0;  // without the gap's parts
    double lowest = 0;
    double highest = 0;
    double fitted = 0;  // the highest with them in
};

// Without: every emitter's series resistance and every light-dependent receiver set to 1 GΩ, in the
// dark, so that no more than dark currents flow. Of 500 specimens. Nothing for a side without a
// supply; empty where some specimen could not be solved.
std::vector<FirstCurrent> first_currents(const Link& link, const LinkCircuit& circuit,
                                         std::uint64_t seed, const EngineOptions& options);

}  // namespace gapwright
