// Many specimens, solved: the one interface behind which specimens become numbers. Corners, local
// search and population all go through it.
//
// Specimens are solved in lanes (lanes/kernel.hpp); one that does not settle there goes to the
// solver for single points, and one that does not settle there either is counted and told.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "lanes/plan.hpp"
#include "population/specimen.hpp"

namespace gapwright {

// Results of some specimens: NaN throughout for one that did not settle.
struct MeasuredGroup {
    std::size_t first = 0;             // number of the specimen in lane 0; the others follow
    std::size_t count = 0;             // lanes in use
    std::size_t width = 0;             // numbers a row
    const double* measured = nullptr;  // a row a measure

    double at(std::size_t lane, std::size_t measure) const {
        return measured[measure * width + lane];
    }
};

// Takes results as they come, in any order, one call at a time for each `worker` (0 … threads − 1)
// but several workers at once.
using GroupConsumer = std::function<void(std::size_t worker, const MeasuredGroup& group)>;

struct EngineOptions {
    unsigned threads = 0;                                 // 0: one for each core
    std::stop_token stop = {};                            // asks for an early end
    std::function<void(std::size_t done)> progress = {};  // called now and then, from any thread
    // Leaves unsettled what does not settle in lanes: for a search that looks at many specimens far
    // from any that are of use, and works out exactly those that are.
    bool lanes_only = false;
    std::string kernel = {};  // by name, for tests; empty: the widest that the processor has
};

// How a run went.
struct EngineOutcome {
    std::size_t solved = 0;
    std::size_t by_single_points = 0;               // did not settle in lanes
    std::size_t unsettled = 0;                      // nor by the solver for single points
    std::optional<LinkNotSettled> first_unsettled;  // that of the lowest number
    std::size_t first_unsettled_number = 0;
    bool stopped = false;  // by the stop token: some specimens were not looked at
};

// Workers that a run with these options uses at most.
unsigned worker_count(const EngineOptions& options);

// A circuit made ready: analysed once, about the base specimen.
class Engine {
  public:
    // Refers to `circuit`, which must outlive it. `ranges` of the figures that will vary save
    // steps.
    Engine(const Circuit& circuit, const std::vector<Measure>& measures, const Specimen& about,
           const std::vector<FigureRange>& ranges = {});

    // Solves all specimens of the source. Results do not depend on the number of threads, and on
    // the instruction set only by rounding (docs/performance.md).
    EngineOutcome run(const SpecimenSource& source, const GroupConsumer& consume,
                      const EngineOptions& options = {}) const;

    std::size_t measures() const { return measures_.size(); }
    // Nothing where every specimen goes to the solver for single points.
    const std::optional<LanePlan>& plan() const { return plan_; }

  private:
    friend class EngineRun;
    const Circuit& circuit_;
    std::vector<Measure> measures_;
    std::optional<LanePlan> plan_;
    std::optional<std::vector<StatePoint>> start_;
};

// What each specimen measured, V, A or W, all kept: for a few thousand specimens.
struct Measurements {
    std::size_t measures = 0;
    std::vector<double> values;  // a row a specimen
    EngineOutcome outcome;

    double at(std::size_t specimen, std::size_t measure) const {
        return values[specimen * measures + measure];
    }
};
Measurements measure_all(const Engine& engine, const SpecimenSource& source,
                         const EngineOptions& options = {});

// Whatever turns specimens into numbers: the engine at rest, or waveforms.
struct Measurer {
    std::size_t measures = 0;
    std::function<Measurements(const SpecimenSource& source, const EngineOptions& options)> run;
};
// Refers to the engine.
Measurer measurer_of(const Engine& engine);

}  // namespace gapwright
