// A link's networks analysed once, so that many specimens can be solved without looking at the
// networks again: a list of devices and where they stamp, a list of branches, and for each state
// the steps of its elimination and where to start. Plain data for the kernels.
//
// Unknowns are numbered from 1, 0 being the return: first the voltages of nodes 1…, so that a
// node's number is its index, then the currents of branches.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "lanes/elimination.hpp"

namespace gapwright {

struct IndexPair {
    Index16 plus = nowhere;  // of a flow: where the current leaves
    Index16 minus = nowhere;
};

// A slope of a device's tangent, and the entry that it enters.
struct Stamp {
    Index16 entry;
    std::uint8_t flow;
    std::uint8_t control;
};

// A device with one or two control voltages and one or two currents. Those of a pnp or a p-channel
// device stand with plus and minus exchanged, so that the laws of npn and n-channel serve them.
struct DevicePlan {
    enum class Kind : unsigned char {
        junction,
        breakdown,
        transistor,
        mosfet,
        leakage,
        photocurrent
    };
    Kind kind = Kind::junction;
    std::size_t element = 0;  // of the network
    std::size_t controls = 1;
    std::size_t flows = 1;
    std::array<IndexPair, 2> control{};
    std::array<IndexPair, 2> flow{};
    std::vector<Stamp> added = {};  // where the tangent's slopes enter the matrix
    std::vector<Stamp> taken = {};
    // A photocurrent: the gap that gives it. A transistor: the gap whose light enters its base, and
    // moves where it starts.
    std::optional<std::size_t> gap = {};
};

// A branch of one state: v(from) − v(to) − R·i = −V.
struct BranchPlan {
    IndexPair nodes;
    Index16 row = 0;  // its equation, and its current among the unknowns
    Index16 resistance_entry = nowhere;
    std::optional<Slot> voltage;
    std::optional<Slot> resistance;
    const LightResistorElement* light_resistor = nullptr;  // in place of `resistance`
};

// Where a device's control voltage starts: the nominal one or, for a junction that conducts, where
// the specimen's junction carries the nominal current.
struct ControlStart {
    double voltage = 0;  // V
    double current = 0;  // A; above zero where it counts
};

// How a start moves with one figure of the specimen, besides by the device's own law.
struct StartSlope {
    std::uint32_t device;
    std::uint32_t control;
    std::uint32_t figure;  // row, as LaneTask::specimens has them
    double sample;         // the figure's value in the sample
    double slope;          // V per unit of the figure
};

struct StatePlan {
    const Network* network = nullptr;
    Elimination elimination;
    std::vector<BranchPlan> branches;
    std::vector<std::array<ControlStart, 2>> starts;  // by device
    std::vector<StartSlope> start_slopes;
    std::vector<double> nominal_light;  // by gap
};

struct SidePlan {
    std::size_t unknowns = 0;      // without the return
    std::size_t most_entries = 0;  // of any state's elimination
    std::size_t nodes = 1;         // with the return
    // Of the first state. Devices are the same in all, but the slots of leaks (a contact leaks only
    // while it is open).
    const Network* network = nullptr;
    std::vector<DevicePlan> devices;
    std::vector<StatePlan> states;
};

// One share of a measured current: of the unknown or, beyond those, of a device's current.
struct CurrentShare {
    std::uint32_t source;
    double weight;
};
struct MeasurePort {
    IndexPair nodes;
    std::uint32_t first = 0;  // of its shares
    std::uint32_t count = 0;
};
struct ProbePlan {
    Side side = Side::input;
    Probe::Kind kind = Probe::Kind::voltage;
    std::uint32_t first = 0;  // of its ports
    std::uint32_t count = 0;
};
struct MeasurePlan {
    std::size_t state = 0;
    ProbePlan probe;
};

struct LanePlan {
    std::size_t slots = 0;
    std::span<const Gap> gaps;
    std::span<const double> state_shares;  // Circuit::shares
    std::vector<std::size_t> emitters;     // by gap: the device of the input side
    SidePlan input;
    SidePlan output;
    std::vector<MeasurePlan> measures;
    std::vector<MeasurePort> ports;
    std::vector<CurrentShare> shares;

    const SidePlan& side(Side which) const { return which == Side::input ? input : output; }
    std::size_t states() const { return input.states.size(); }
    // Numbers that a specimen consists of: its figures, temperature, light, age.
    std::size_t figures() const { return slots + 3; }
};

// A figure that varies from specimen to specimen, by its row.
struct FigureRange {
    std::size_t figure = 0;
    double lowest = 0;
    double highest = 0;
};

// Analyses a circuit about one solved specimen. With `ranges`, starts are moved by what each figure
// does alone, which saves steps. The plan refers to `circuit`, which must outlive it. Returns
// nothing where a network at that specimen has no elimination without small pivots; every specimen
// then needs the solver for single points.
std::optional<LanePlan> plan_lanes(const Circuit& circuit, const std::vector<Measure>& measures,
                                   std::span<const double> values, const Conditions& conditions,
                                   const std::vector<StatePoint>& points,
                                   const std::vector<FigureRange>& ranges = {});

}  // namespace gapwright
