// Many specimens, solved: the one interface behind which specimens become numbers. Corners, local
// search and population all go through it.
#pragma once

#include <functional>
#include <optional>
#include <stop_token>
#include <vector>

#include "circuit/probe.hpp"
#include "population/specimen.hpp"

namespace gapwright {

// A quantity of one state.
struct Measure {
    StateIndex state;
    Probe probe;
};

// What each specimen measured, V, A or W; NaN throughout for one that did not settle.
struct Measurements {
    std::size_t specimens = 0;
    std::size_t measures = 0;
    std::vector<double> values;                     // specimens × measures, a row a specimen
    std::size_t unsettled = 0;                      // how many specimens did not settle
    std::optional<LinkNotSettled> first_unsettled;  // that of the lowest number
    bool stopped = false;                           // by the stop token: later rows are NaN

    double at(std::size_t specimen, std::size_t measure) const {
        return values[specimen * measures + measure];
    }
};

struct EngineOptions {
    unsigned threads = 0;                            // 0: one for each core
    std::stop_token stop;                            // asks for an early end
    std::function<void(std::size_t done)> progress;  // called now and then, from any thread
};

// Makes the specimen of a number; called from several threads at once.
using SpecimenMaker = std::function<Specimen(std::size_t)>;

// Measures specimens 0 … count − 1. The result does not depend on the number of threads.
Measurements measure_specimens(const Circuit& circuit, const std::vector<Measure>& measures,
                               std::size_t count, const SpecimenMaker& make,
                               const EngineOptions& options = {});

}  // namespace gapwright
