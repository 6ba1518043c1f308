// Solves a whole link for as many specimens at once as a register has lanes. One kernel for each
// instruction set; each is compiled for its own and chosen when the program runs.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "lanes/plan.hpp"
#include "lanes/wave_plan.hpp"

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

// One group of specimens followed in time, each at its own steps. Rows likewise.
struct WaveTask {
    const WavePlan* plan = nullptr;
    const double* specimens = nullptr;
    double* work = nullptr;  // wave_work_rows(plan) rows
    // Stretches lie between the instants at which something jumps or begins to move: by stretch
    // when it begins, s (infinity for lanes that have fewer), then of each mover its voltage then
    // and how fast that changes, its resistance (Ω; of a leak its current, A) likewise, and the
    // surge, V/s.
    std::size_t stretches = 0;
    const double* begins = nullptr;
    const double* moving = nullptr;
    double tolerance = 0;  // of a step, relative, and of 0.1 V and the like
    double longest = 0;    // s; where it does not come to rest
    std::size_t most_steps = 0;
    std::size_t most_crossings = 0;  // kept of one probe
    // Out, by probe: before; at the end; extremes; how many crossings; by probe and crossing: when
    // (s), whether rising (1 or 0).
    double* first = nullptr;
    double* last = nullptr;
    double* lowest = nullptr;
    double* highest = nullptr;
    double* crossed = nullptr;
    double* crossings = nullptr;
    double* end = nullptr;                    // s
    double* rested = nullptr;                 // 1 or 0
    std::uint32_t* steps = nullptr;           // in and out, counts steps of the group; may be null
    std::uint32_t* iterations = nullptr;      // likewise of Newton's method, of a side at a stage
    const std::atomic<bool>* stop = nullptr;  // gives up where it becomes true; may be null
};

inline constexpr std::size_t lane_alignment = 64;

// Of scratch: of a device its law, controls and tangents; its charges' figures and tangents; what
// is kept of a probe.
inline constexpr std::size_t rows_of_device = 17;
inline constexpr std::size_t rows_of_charge = 10;
inline constexpr std::size_t rows_of_probe = 10;

// Rows of scratch that a task of this plan needs.
std::size_t work_rows(const LanePlan& plan);
std::size_t wave_work_rows(const WavePlan& plan);

struct LaneKernel {
    const char* name = "";
    std::size_t width = 1;  // lanes
    // Returns the lanes that settled, lowest bit first; rows of the others hold nothing of use.
    std::uint64_t (*solve)(const LaneTask& task) = nullptr;
    // Likewise the lanes that were followed to their end.
    std::uint64_t (*follow)(const WaveTask& task) = nullptr;
};

// The kernels that this processor can run, the widest last. Never empty.
const std::vector<LaneKernel>& usable_kernels();
// The one of that name; the widest where there is none, as of an empty name.
const LaneKernel& kernel_named(const std::string& name);

}  // namespace gapwright
