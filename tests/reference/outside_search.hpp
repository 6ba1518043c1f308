// A search for worst cases that shares nothing with the program's own: differential evolution
// (Storn & Price, Journal of Global Optimization 11, 1997), then single coordinates, then a simplex
// (Nelder & Mead, The Computer Journal 7, 1965). All aims of a link are searched for side by side,
// so that the engine has many specimens to solve at once, and what one finds helps the others.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

#include "circuit/probe.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/limits/ratings.hpp"

namespace gapwright::reference {

// What is to be as bad as it can be.
struct Aim {
    Measure measure;
    bool least = false;                     // the smallest is wanted, else the greatest
    bool size = false;                      // either sign counts
    bool one_way = false;                   // less than nothing counts as nothing
    std::optional<Derating> derating = {};  // counts against what of a limit is left

    // How bad a measured value is at a temperature, K: the more, the worse. In the value's unit,
    // and for a limit that falls with temperature as if it did not.
    double badness(double measured, double temperature) const;
};

struct Worst {
    double badness = -std::numeric_limits<double>::infinity();
    Specimen where;
};

struct Effort {
    int restarts = 1;
    int generations = 50;
    int simplex_steps = 100;
};

// For each aim the worst specimen within the spreads (assumed ones too) and the ranges. The same
// arguments give the same answer.
std::vector<Worst> worst_from_outside(const LinkCircuit& circuit, const ConditionRanges& ranges,
                                      const std::vector<Aim>& aims, const Effort& effort,
                                      std::uint64_t seed);

}  // namespace gapwright::reference
