// The extremes of measured quantities over every spread, temperature, light and life.
//
// A bounded search, not a guarantee: all corners where their number allows it, else the corners
// that one-at-a-time effects point to, then a local search from the worst, ends and inside of every
// range. Each specimen that is solved on the way counts for every quantity.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "circuit/index.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/search/search_space.hpp"
#include "proof/verdict.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// One extreme to look for.
struct Target {
    std::size_t measure = 0;           // index of the measure
    Sense sense = Sense::at_most;      // at_most: the highest is worst; at_least: the lowest
    bool magnitude = false;            // either sign counts
    std::optional<Derating> derating;  // the worst is then relative to the derated bound
    // Whether its extreme decides anything. One that does not is looked for in passing.
    bool decides = true;
    bool promised = false;  // asked for by a promise: looked for further where specimens are dear
    // Targets of one kin ask the same in different states. Where there are very many targets, only
    // the worst of each kin is searched for.
    std::size_t kin = 0;

    // How bad a value is at a temperature; more is worse.
    double badness(double value, double temperature) const;
};

// Where a target's extreme was found.
struct Extreme {
    double value = 0;
    Specimen specimen;
    Point point;  // the specimen as shares of each range
    // By coordinate: how far it alone moves the value between its ends, at most over the ends and
    // middles of the conditions; 0 when it has no influence.
    std::vector<double> effects;
};

struct WorstCases {
    std::vector<Coordinate> coordinates;
    std::vector<Extreme> extremes;  // by target
    std::vector<double> lowest;     // by measure: over every specimen solved in the search
    std::vector<double> highest;
    EngineOutcome outcome;  // of all specimens together
};

// How far to look. Thorough: what single effects point to, corners, a fixed set of points that mix
// ends with inner values, and a walk uphill from the best of each. Plain: one walk, from the best
// corner, and ridges of promises alone. Quick leaves out the middles of conditions, corners that
// single effects do not point to, and the walks. What it finds is a case that exists, seldom far
// from the worst. Sparing, for measures that take milliseconds each: single effects about the
// nominal point, of conditions too, the corner that they point to, and a walk along ends from
// there. Guided: the same without the walk.
enum class Effort : unsigned char { thorough, plain, quick, sparing, guided };

// `starts`: specimens that the local search may begin from besides, such as the worst of those
// drawn.
WorstCases find_worst_cases(const LinkCircuit& circuit, const ConditionRanges& ranges,
                            const Measurer& measurer, const std::vector<Target>& targets,
                            const std::vector<Specimen>& starts = {},
                            const EngineOptions& options = {}, Effort effort = Effort::thorough);

}  // namespace gapwright
