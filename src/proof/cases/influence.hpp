// What a promise's spread comes from, and what a better grade of a part would buy.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "circuit/probe.hpp"
#include "link/figure_id.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"

namespace gapwright {

struct Influence {
    std::optional<FigureId> figure;  // none: a condition
    std::string name;                // for people: "R2.value", "temperature"
    double share = 0;                // of the variance of the quantity, all figures independent
    std::string grade = {};  // a better grade of the figure: "± 1 %", "half its spread"; or none
    double worst = 0;        // the worst case's value when only this figure is of that grade
};

// One quantity and the specimen of its worst case.
struct Influenced {
    Measure measure;
    Specimen worst;
};

// For each quantity the figures and conditions that make most of its spread, the largest first;
// less than a hundredth is left out. Shares are linear: derivatives at the middle of every range
// times each range's standard deviation (uniform: width/√12; normal: a third of the limits; else
// that of their law), squared. Empty where the middle specimen has no operating point.
std::vector<std::vector<Influence>> influences(const LinkCircuit& circuit,
                                               const ConditionRanges& ranges,
                                               const std::vector<Influenced>& quantities);

}  // namespace gapwright
