// The readings that many specimens of a link give at the bench, good or faulty.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>
#include "bench/meter/bench_circuit.hpp"
#include "bench/meter/measurement.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "link/meter.hpp"
#include "population/specimen.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

// Readings of some specimens, without the meter's error: V, A, Ω; infinity for a resistance that is
// none; NaN throughout for a specimen that could not be solved.
struct SimulatedReadings {
    std::size_t specimens = 0;
    std::size_t measurements = 0;
    std::vector<double> values = {};  // a row a specimen
    std::vector<double> others = {};  // the same by the other sort of meter; NaN: as by the one

    double at(std::size_t specimen, std::size_t measurement) const {
        return values[specimen * measurements + measurement];
    }
    double other(std::size_t specimen, std::size_t measurement) const {
        const double own = others[specimen * measurements + measurement];
        return std::isnan(own) ? at(specimen, measurement) : own;
    }
    double& at(std::size_t specimen, std::size_t measurement) {
        return values[specimen * measurements + measurement];
    }
};

// What is simulated besides the link itself.
struct BenchSetup {
    const Meter& meter;
    const std::vector<Measurement>& measurements;
    const std::vector<double>& nominals;  // of a good link, by measurement; may be empty
    ConditionRanges conditions;           // in which somebody measures
};

// Specimens of a circuit of the link, which may have figures besides the link's own.
using SpecimensOf = std::function<SpecimenSource(const LinkCircuit& circuit)>;

// Readings of the specimens that `specimens` gives, always as many. `bridge` joins the sides.
// Errors: build_circuit's.
Expected<SimulatedReadings> simulate_specimens(const Link& link, const BenchSetup& setup,
                                               const std::optional<SideBridge>& bridge,
                                               std::size_t count, const SpecimensOf& specimens);

// The same of specimens 0 … count − 1 of the population with this seed.
Expected<SimulatedReadings> simulate_readings(const Link& link, const BenchSetup& setup,
                                              const std::optional<SideBridge>& bridge,
                                              std::uint64_t seed, std::size_t count);

// Of the nominal specimen alone, by measurement.
Expected<std::vector<double>> nominal_readings(const Link& link, const BenchSetup& setup);

}  // namespace gapwright
