// What the plans of links at rest and in time have in common: which devices a side has, the pattern
// of its matrix, where devices stamp, where probes find their numbers. Internal to the layer.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "lanes/elimination.hpp"
#include "lanes/plan.hpp"

namespace gapwright {

Index16 index_of(Node node);

// The devices of a side, in the order of their elements; transistors know the gap whose light
// enters their base.
std::vector<DevicePlan> devices_of(const Network& network);

// The matrix's entries by place, in the order in which they were first asked for.
class Pattern {
  public:
    // Nothing for the return. Valid until the next place is made.
    MatrixEntry* at(Index16 row, Index16 column);
    void add(Index16 row, Index16 column, double constant);
    std::vector<MatrixEntry>& entries() { return entries_; }

  private:
    std::vector<MatrixEntry> entries_;
    std::map<std::pair<Index16, Index16>, std::size_t> places_;
};

// Branches and light-dependent resistors, in the order of their elements, with their rows and, in
// `pattern`, their entries.
std::vector<BranchPlan> add_branches(const Network& network, Pattern& pattern);

// The entries that a device's tangent changes.
void add_device(const DevicePlan& device, Pattern& pattern);

// Says where a device stamps.
void place_entries(const Elimination& elimination, DevicePlan& device);

// Where each element's currents are found among a side's results: unknowns, then two numbers a
// device.
class CurrentSources {
  public:
    CurrentSources(const Network& network, const std::vector<DevicePlan>& devices,
                   std::size_t unknowns);
    std::uint32_t main(ElementIndex element) const { return source_[to_index(element)]; }
    std::uint32_t base(ElementIndex element) const { return source_[to_index(element)] + 1; }

  private:
    std::vector<std::uint32_t> source_;
};

// Adds the probe to the ports and shares of a plan.
ProbePlan compile_probe(const Probe& probe, const CurrentSources& sources,
                        std::vector<MeasurePort>& ports, std::vector<CurrentShare>& shares);

}  // namespace gapwright
