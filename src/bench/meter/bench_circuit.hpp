// A link with a meter at it, as circuits: one for each pair of points that somebody measures
// between, whose states are those of the link and, with the power off, the meter's own tests.
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>
#include "bench/meter/measurement.hpp"
#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "link/meter.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// Meters of one description measure differently all the same: a junction with a source behind a
// resistance or with a current, a resistance with more or with less voltage. Nobody states which,
// so both are simulated; where they differ the reading tells nothing.
enum class MeterSort : std::uint8_t { one, other };

// How a value of the circuit becomes a reading.
struct Reader {
    std::size_t measurement = 0;  // index in the list of measurements
    MeasurementKind kind = MeasurementKind::voltage;
    double test_voltage = 0;     // V, open, of a resistance or junction test
    double test_resistance = 0;  // Ω, behind it
    // Of a resistance: the most, Ω, that is read with this test; above it the meter takes its next
    // range, whose reader follows.
    double up_to = std::numeric_limits<double>::infinity();
    MeterSort sort = MeterSort::one;

    // What the meter shows, without its error: V, A or Ω. `measured` is the circuit's, V or A.
    double reading(double measured) const;
};

struct BenchCircuit {
    LinkCircuit circuit;
    std::vector<Measure> measures;
    std::vector<Reader> readers;  // beside `measures`
};

// Two sides that a fault joins.
struct SideBridge {
    Node input = Node::side_return;
    Node output = Node::side_return;
    Spread resistance = {};  // Ω
};

// The circuits in which all of `measurements` are taken, but isolations. Nodes of the measurements
// are those of the link as it should be; a faulty link has them all, and may have more. `nominals`
// are the readings of a good link, which choose the range on which a current is taken; empty: a
// current is taken without burden. Errors as build_circuit's.
Expected<std::vector<BenchCircuit>> bench_circuits(const Link& link, const Meter& meter,
                                                   const std::vector<Measurement>& measurements,
                                                   const std::vector<double>& nominals);

// The circuit of the isolation measurements of a link whose sides a fault joins: both sides in one
// network, the power off.
Expected<BenchCircuit> isolation_circuit(const Link& link, const Meter& meter,
                                         const std::vector<Measurement>& measurements,
                                         const SideBridge& bridge);

}  // namespace gapwright
