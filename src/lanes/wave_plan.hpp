// A link's circuit analysed once, so that it can be followed in time for many specimens: what a
// plan at rest says, and what each side stores. Plain data for the kernels.
//
// Charges and fluxes are no unknowns: a step of the method in time asks of a store the current
// (its charge − a number known by then) / (γ·step), so that the unknowns are those at rest, the
// matrix has their size, and stores are conductances and currents beside the other elements.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "device/figures.hpp"
#include "lanes/elimination.hpp"
#include "lanes/plan.hpp"

namespace gapwright {

// A capacitance between two nodes: its conductance's entries, where they are.
struct CapacitancePlan {
    IndexPair nodes;
    std::optional<Slot> slot;  // F
    double fixed = 0;          // F, where there is no slot
    std::array<Index16, 2> added{nowhere, nowhere};
    std::array<Index16, 2> taken{nowhere, nowhere};
};

// The charge of a device, a junction's one or a transistor's two; it enters the matrix where the
// device's tangent does.
struct DeviceChargePlan {
    std::size_t device = 0;
    JunctionCharge<std::optional<Slot>> junction{};
    TransistorCharge<std::optional<Slot>> transistor{};
    std::size_t charges = 1;
};

// An inductance in a branch. With `rings`, a resistance beside it that leaves its oscillation with
// the capacitance `rings` a quality of ten (waveform/strays.hpp says why).
struct WindingPlan {
    std::size_t branch = 0;
    Slot inductance{};
    double rings = 0;  // F; 0: nothing beside it
};

// A light-dependent resistor that follows its light slowly: a lit conductance of its own.
struct CellPlan {
    std::size_t branch = 0;
};

// What a surge puts into a node: a share of a gap's capacitance times its slope.
struct SurgePlan {
    Index16 node = nowhere;
    std::size_t gap = 0;
    enum class Share : unsigned char { all, base, rest } share = Share::all;
    double sign = 1;
};

// A branch or a leak whose figures change on the way.
struct MoverPlan {
    Side side = Side::input;
    bool leak = false;
    std::size_t place = 0;  // of its branch or device
};

// Stores in this order: capacitances, charges of devices, windings, cells.
struct WaveSidePlan {
    const Network* network = nullptr;  // of the state at the beginning
    std::size_t nodes = 1;             // with the return
    Elimination elimination;
    std::vector<BranchPlan> branches;
    std::vector<DevicePlan> devices;
    std::vector<CapacitancePlan> capacitances;
    std::vector<DeviceChargePlan> device_charges;  // in the order of their devices
    std::vector<WindingPlan> windings;
    std::vector<CellPlan> cells;
    std::vector<SurgePlan> surges;
    std::vector<Index16> watched;  // nodes that must rest at the end

    std::size_t charges() const;
};

// A quantity that is looked at all the while, and the level whose crossings count.
struct WaveProbe {
    Probe probe;
    std::optional<double> level;
};
struct WaveProbePlan {
    ProbePlan probe;
    bool has_level = false;
    double level = 0;
};

struct WavePlan {
    LanePlan rest;  // every state at rest, without measures
    WaveSidePlan input;
    WaveSidePlan output;
    std::vector<MoverPlan> movers;
    std::vector<WaveProbePlan> probes;
    std::vector<MeasurePort> ports;
    std::vector<CurrentShare> shares;
    std::size_t from = 0;  // states: before, and at the end
    std::size_t goal = 0;

    const WaveSidePlan& side(Side which) const { return which == Side::input ? input : output; }
};

// What is to be planned besides the circuit.
struct LaneWaveRequest {
    std::size_t from = 0;
    std::size_t goal = 0;
    std::vector<std::pair<Side, ElementIndex>> movers = {};
    std::vector<WaveProbe> probes = {};
    std::vector<std::pair<Side, ElementIndex>> ringing = {};  // windings with strays
    double winding_capacitance = 0;                           // F
    double node_capacitance = 0;                              // F of every node to its return; or 0
    double step = 1e-6;  // s: a usual one, at which pivots are chosen
};

// Analyses about one solved specimen, as plan_lanes does. Nothing where there is no elimination.
std::optional<WavePlan> plan_wave(const Circuit& circuit, const LaneWaveRequest& request,
                                  std::span<const double> values, const Conditions& conditions,
                                  const std::vector<StatePoint>& points,
                                  const std::vector<FigureRange>& ranges = {});

}  // namespace gapwright
