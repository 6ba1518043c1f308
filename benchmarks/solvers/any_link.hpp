// Any link for the solvers to compare with: each side of each state as a system in the voltages of
// its nodes and the currents of its branches, from the program's own element equations.
#pragma once

#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "solvers/other_solvers.hpp"

namespace gapwright::benchmarks {

// Solves every side of every state of one specimen, from a neighbour's points. Returns false where
// a side does not come to the tolerance.
bool solve_with(OtherSolver& solver, const Circuit& circuit, const Specimen& specimen,
                const std::vector<StatePoint>& start);

}  // namespace gapwright::benchmarks
