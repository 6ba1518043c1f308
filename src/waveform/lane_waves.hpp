// Waveforms of many specimens of one schedule at once, one a lane, by the kernels of lanes/.
#pragma once

#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "lanes/kernel.hpp"
#include "lanes/wave_plan.hpp"
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

// A schedule planned for a circuit. Refers to both and to the watches' probes.
struct LaneWaves {
    const Circuit* circuit = nullptr;
    Schedule schedule;
    std::vector<WaveWatch> watches;
    WavePlan plan;
    double tolerance = 0;
    Strays strays = Strays::none;  // that are assumed of every specimen
};

// Planned about one specimen, whose own waveform says which strays are assumed: those of all
// specimens. `rest`: its states at rest. Nothing where it cannot be followed, where lanes have no
// plan for it, or where a watch's course is asked for.
std::optional<LaneWaves> plan_lane_waves(const Circuit& circuit, const Schedule& schedule,
                                         const std::vector<WaveWatch>& watches,
                                         std::span<const double> values,
                                         const Conditions& conditions,
                                         const std::vector<StatePoint>& rest, double tolerance);

// Specimens that a kernel follows at once; `kernel` as below.
std::size_t lane_width(const std::string& kernel);

// One group of specimens, and room to work in; one thread's.
class LaneGroup {
  public:
    // `kernel`: one of usable_kernels(); its widest where there is none of that name.
    LaneGroup(const LaneWaves& waves, const std::string& kernel);
    ~LaneGroup();

    std::size_t width() const;
    // Rows as LaneTask has them: where specimens are written.
    double* specimens();

    // By lane of the first `count`, its waveform without points and courses; nothing where it was
    // not followed.
    std::vector<std::optional<Waveform>> follow(std::size_t count, const std::stop_token& stop);

    // Of groups, so far: steps in time, and of Newton's method for a side at a stage.
    std::size_t steps() const { return steps_; }
    std::size_t iterations() const { return iterations_; }

  private:
    struct Rows;
    const LaneWaves& waves_;
    const LaneKernel& kernel_;
    std::unique_ptr<Rows> rows_;
    std::uint32_t steps_ = 0;
    std::uint32_t iterations_ = 0;
};

}  // namespace gapwright
