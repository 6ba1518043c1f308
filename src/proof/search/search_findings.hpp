// What a search for worst cases has found so far: each specimen that it solves counts for every
// target. Internal to the layer.
#pragma once

#include <cstddef>
#include <vector>

#include "population/engine.hpp"
#include "proof/search/local_search.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/worst_case.hpp"

namespace gapwright {

// What is looked for, where and how far; the same throughout one search.
struct SearchTask {
    const SearchSpace& space;
    const Measurer& measurer;
    const std::vector<Target>& targets;
    const EngineOptions& options;
    Effort effort;
};

struct SearchFindings {
    WorstCases cases;         // but for the specimens of their extremes
    std::vector<double> bad;  // by target: that of its extreme
};

SearchFindings no_findings(const SearchTask& task);

// Solves points.
Scores look_at(const SearchTask& task, const std::vector<Point>& points, SearchFindings& found);

}  // namespace gapwright
