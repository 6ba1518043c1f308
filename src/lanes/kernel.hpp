// Solves a whole link for as many specimens at once as a register has lanes. One kernel for each
// instruction set; each is compiled for its own and chosen when the program runs.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "lanes/plan.hpp"

namespace gapwright {

// One group of specimens. Pointers are aligned to `lane_alignment` bytes; all rows are one number a
// lane.
struct LaneTask {
    const LanePlan* plan = nullptr;
    const double* specimens = nullptr;    // rows: figures by slot, temperature, light, age
    double* work = nullptr;               // work_rows(plan) rows
    double* measured = nullptr;           // out: a row a measure
    int iteration_limit = 0;              // of Newton's method, for each side of each state
    std::uint32_t* iterations = nullptr;  // in and out, counts steps; may be null
};

inline constexpr std::size_t lane_alignment = 64;

inline constexpr std::size_t rows_of_device = 17;  // of scratch: law, controls, tangents

// Rows of scratch that a task of this plan needs.
std::size_t work_rows(const LanePlan& plan);

struct LaneKernel {
    const char* name = "";
    std::size_t width = 1;  // lanes
    // Returns the lanes that settled, lowest bit first; rows of the others hold nothing of use.
    std::uint64_t (*solve)(const LaneTask& task) = nullptr;
};

// The kernels that this processor can run, the widest last. Never empty.
const std::vector<LaneKernel>& usable_kernels();

}  // namespace gapwright
