// What a population comes to: extremes of every measure, and for watched ones how many specimens
// keep the bounds and how the values are spread. Specimens are counted as they are solved, not
// kept, so memory does not grow with their number.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "population/engine.hpp"
#include "population/specimen.hpp"

namespace gapwright {

// A measure whose distribution is of interest.
struct Watch {
    std::size_t measure = 0;
    std::optional<double> at_least;
    std::optional<double> at_most;
};

// How often values fall into equal ranges between `low` and `high`; those beyond count with the
// outermost.
struct Histogram {
    double low = 0;
    double high = 0;
    std::vector<std::uint64_t> counts;

    void add(double value);
};

// The smallest and largest value of a measure and the specimens that have them, the lowest number
// among equals. Specimens that did not settle are left out.
struct Extent {
    double lowest = 0;
    double highest = 0;
    std::size_t lowest_specimen = 0;
    std::size_t highest_specimen = 0;
};

struct Watched {
    std::size_t kept = 0;       // specimens within the bounds
    Histogram histogram;        // empty where nothing varies
    std::vector<double> first;  // the values of the first specimens, a hundred at most
};

struct Survey {
    std::size_t specimens = 0;     // counted: all, unless the run was stopped
    std::vector<Extent> extents;   // by measure; infinities the wrong way round for no specimen
    std::vector<Watched> watched;  // by watch
    EngineOutcome outcome;
};

Survey survey(const Engine& engine, const SpecimenSource& source, const std::vector<Watch>& watches,
              const EngineOptions& options = {});

}  // namespace gapwright
