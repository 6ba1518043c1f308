// Proven bounds of what is measured on a link while some of its figures are still open.
//
// A specimen's figures are exact but for some that may lie anywhere in given ranges: resistances to
// be chosen. The bounds hold every measured quantity for every choice inside the ranges. Proven,
// not sampled: each side in each state is enclosed by the operator of Krawczyk 1969 over interval
// arithmetic (Moore 1966), see enclosed_side.hpp; the light goes across the gaps as an interval.
//
// What is proven is that for every choice the circuit's equations have a solution in a region about
// the solution at the ranges' middle, and that every solution in that region lies inside the
// bounds. A circuit that may rest at several points (a latch) may have others outside the region.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "circuit/probe.hpp"
#include "circuit/ranged.hpp"
#include "device/interval.hpp"

namespace gapwright {

// Prepared once for a circuit, one specimen and what is to be measured; then asked for many ranges,
// from any number of threads. The circuit must outlive it.
class Enclosure {
  public:
    // `values` by slot; those of slots that will be ranged count for nothing but as a start.
    Enclosure(const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
              std::span<const Measure> measures);

    // Bounds of each measure, in its unit (V, A, W), for every choice of the ranged figures; each
    // range must be finite, lowest ≤ highest. Nothing where the proof does not succeed: the ranges
    // are too wide, or their middle does not settle.
    std::optional<std::vector<Interval>> over(std::span<const SlotRange> ranges) const;

  private:
    using Laws = std::vector<prepared::ElementOf<Interval>>;

    Laws laws(const Network& network, std::span<const Interval> figures) const;
    // Whether a device's law reads one of the slots; branches do not count.
    bool read_by_laws(std::span<const SlotRange> ranges) const;

    const Circuit& circuit_;
    std::vector<double> values_;
    Conditions conditions_;
    std::vector<Measure> measures_;
    std::vector<Laws> input_laws_;  // by state
    std::vector<Laws> output_laws_;
    std::vector<bool> law_slots_;
    std::vector<bool> output_measured_;  // by state
    std::optional<std::vector<StatePoint>> start_;
};

// The same for one question.
std::optional<std::vector<Interval>> enclose(const Circuit& circuit, std::span<const double> values,
                                             const Conditions& conditions,
                                             std::span<const SlotRange> ranges,
                                             std::span<const Measure> measures);

}  // namespace gapwright
