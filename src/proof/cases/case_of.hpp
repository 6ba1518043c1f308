// What results say about where a worst case lies and what logic inputs read. Internal to the layer.
#pragma once

#include <cstddef>
#include <string>
#include <vector>
#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/cases/case.hpp"
#include "proof/proof.hpp"
#include "proof/search/worst_case.hpp"

namespace gapwright {

// The name of a coordinate's figure: "R2.value", "temperature".
std::string figure_name(const LinkCircuit& circuit, const Coordinate& coordinate);

// The figures of a target's extreme that move it, the one that moves it most first.
Case case_of(const LinkCircuit& circuit, const WorstCases& worst, std::size_t target);

// What each logic input reads in each state.
std::vector<Level> levels_of(const Link& link, const LinkCircuit& circuit,
                             const std::vector<StatePoint>& nominal);

}  // namespace gapwright
