// A link in time: integrates its circuit through changes of state and disturbances.
//
// Method: the differential-algebraic system of equations.hpp by variable-order, variable-step
// backward differentiation (SUNDIALS IDA; Brenan, Campbell & Petzold 1996), started anew at every
// instant at which something jumps, with charges and fluxes carried over. Crossings of levels are
// found as roots on the way, not from samples.
#pragma once

#include <cstddef>
#include <expected>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "waveform/schedule.hpp"

namespace gapwright {

// A quantity to look at all the while: its extremes are kept, its crossings of a level, and, where
// `trace` asks for it, its course.
struct WaveWatch {
    Probe probe;
    std::optional<double> level = {};  // in the probe's unit
    bool trace = false;
};

struct Crossing {
    std::size_t watch = 0;
    double at = 0;  // s
    bool rising = false;
};

struct WaveOptions {
    // Local error of a step, relative, and of 0.1 V and the like. Delays then hold to about ten
    // times that.
    double tolerance = 1e-6;
    bool record = false;             // keeps points, dense enough for straight lines between them
    std::optional<double> end = {};  // s; absent: until the link rests
    double longest = 1e6;            // s, eleven days; where it does not come to rest
    // Of the equations, between two instants at which something jumps; two or three a step where
    // it goes well.
    std::size_t most_evaluations = 500'000;
    std::stop_token stop = {};
};

struct WavePoint {
    double time = 0;  // s
    StatePoint point;
};

// The course of one quantity, dense enough for straight lines between its points; two of one time
// at a jump.
struct Trace {
    std::vector<double> times;   // s, not falling
    std::vector<double> values;  // in the probe's unit

    double at(double time) const;  // beyond its ends: the value there
};

// What was assumed to be stored besides what the cards state; each includes those before it.
enum class Strays : unsigned char {
    none,
    windings,  // uncaught windings that are interrupted have capacitance
    all,       // every winding, and every node has some against its side's return
};

struct Waveform {
    std::vector<WavePoint> points;    // where they were asked for, as dense as traces
    std::vector<Trace> traces;        // by watch; empty where not asked for
    std::vector<Crossing> crossings;  // in the order of time
    std::vector<double> lowest;       // by watch
    std::vector<double> highest;
    std::vector<double> first;  // by watch: at rest before
    std::vector<double> last;   // by watch: at the end
    double end = 0;             // s
    bool rested = false;        // at the end every node was where it rests
    std::size_t steps = 0;
    std::size_t evaluations = 0;
    Strays strays = Strays::none;
};

struct WaveFailure {
    double at = 0;  // s
    std::string message;
    bool stopped = false;  // by the user
    // Where it went wrong, if that is at a node.
    std::optional<std::pair<Side, Node>> node = {};
};

// The capacitance that is assumed of a winding's own turns, F (common practice: tens of
// picofarads).
inline constexpr double winding_capacitance = 50e-12;

// The branches of one side's windings whose current, of the sign that it has at rest in some state,
// finds no way from the winding's one end to its other: through resistances of less than 1 MΩ in
// every state, sources, diodes in their direction, charges. Transistors, contacts and
// light-dependent resistors may block and are no way.
std::vector<ElementIndex> uncaught_windings(const Circuit& circuit, Side side,
                                            std::span<const double> values,
                                            const std::vector<StatePoint>& rest);

// `rest`: every state at rest with these figures (solve_link). Where the circuit as the cards state
// it cannot be followed, or only in very many steps, it is followed again with all strays.
std::expected<Waveform, WaveFailure> waveform(
    const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
    const Schedule& schedule, const std::vector<StatePoint>& rest,
    const std::vector<WaveWatch>& watches, const WaveOptions& options = {});

}  // namespace gapwright
