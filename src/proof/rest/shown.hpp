// The quantities that are shown for every state, in the order in which they are shown. Internal to
// the layer.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/proof.hpp"

namespace gapwright {

struct Shown {
    std::string name;  // "U1.receiver", "output.Q1.base"
    Probe probe;
};

std::vector<Shown> shown_currents(const Link& link, const LinkCircuit& circuit);
std::vector<Shown> shown_voltages(const Link& link);
std::vector<Shown> shown_powers(const Link& link, const LinkCircuit& circuit);

// Each measured at a solved point.
std::vector<std::pair<std::string, double>> measured(const std::vector<Shown>& shown,
                                                     const StatePoint& point);

// All of them in each state, from its solved point; no bands.
std::vector<NominalState> shown_states(const Link& link, const LinkCircuit& circuit,
                                       const std::vector<StatePoint>& points);

}  // namespace gapwright
