// What each supply gives before the gap's parts are in, so that a person sees a wrong wire on a
// meter before it costs a coupler.
#pragma once

#include <string>
#include <vector>

#include "link/link_circuit.hpp"
#include "population/engine.hpp"

namespace gapwright {

// The supply's current of a side in a state, A; over new parts and the link's temperatures.
struct FirstCurrent {
    Side side = Side::input;
    std::string state;
    double nominal = 0;
    double lowest = 0;
    double highest = 0;
};

// Every emitter of a gap is taken out (its series resistance set to 1 GΩ), so that receivers are
// dark. Nothing for a side without a supply; empty where some specimen could not be solved.
std::vector<FirstCurrent> first_currents(const Link& link, const LinkCircuit& circuit,
                                         std::uint64_t seed, const EngineOptions& options);

}  // namespace gapwright
