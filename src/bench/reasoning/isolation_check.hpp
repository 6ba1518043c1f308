// Whether the sides are apart, told from isolation readings alone: no model of the link is asked,
// so that no fault left out of a table can hide a way across.
//
// All nodes of one side clipped together against all of the other see every way across, whatever
// lies behind it; from one node alone, parts of its own side come in series. So the lowest of the
// node's readings tells where the way across ends.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>
#include "bench/meter/measurement.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "circuit/index.hpp"
#include "link/meter.hpp"

namespace gapwright {

// Below this an insulation tester's reading is no gap: couplers guarantee 10 GΩ and more, a clean
// dry board likewise (common practice; the limit is our own choice).
inline constexpr double least_insulation = 100e6;  // Ω

struct WayAcross {
    double resistance = 0;  // Ω, the least that was read from all to all
    // Nodes it may end at: those whose own readings are not above that by more than the meter's
    // error; empty where none was read.
    std::vector<Node> input = {};
    std::vector<Node> output = {};
};

struct IsolationCheck {
    bool whole = false;               // every reading from all to all was taken
    bool begun = false;               // one of them was
    std::optional<WayAcross> across;  // none was read
    // The isolation to measure next: from all to all, then, where there is a way across, node by
    // node; none: all were taken, or cannot be.
    std::optional<std::size_t> next;
};

// Whether an isolation or insulation that read so has found a way across, Ω.
bool is_a_way_across(const Measurement& measurement, double value);

// `readings` of these measurements. Those in `not_measurable` are not asked for and leave the check
// unfinished.
IsolationCheck check_isolation(const std::vector<Measurement>& measurements, const Meter& meter,
                               const std::vector<TakenReading>& readings,
                               const std::vector<std::size_t>& not_measurable);

}  // namespace gapwright
