#include "bench/meter/simulated_readings.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "bench/meter/bench_circuit.hpp"
#include "bench/meter/measurement.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {
namespace {

constexpr std::size_t least_alone = 48;
constexpr std::size_t share_alone = 8;
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

// What the readers show of one specimen; a resistance on the first range that holds it.
template <class Measured>
void read_all(const BenchCircuit& bench, const Measured& measured, SimulatedReadings& into,
              std::size_t specimen) {
    const Reader* before = nullptr;
    for (std::size_t m = 0; m < bench.readers.size(); ++m) {
        const Reader& reader = bench.readers[m];
        const std::size_t place = specimen * into.measurements + reader.measurement;
        double& reading = (reader.sort == MeterSort::one ? into.values : into.others)[place];
        const bool next_range =
            before && before->measurement == reader.measurement && before->sort == reader.sort;
        if (!next_range || !(reading <= before->up_to)) reading = reader.reading(measured(m));
        before = &reader;
    }
}

void run(const BenchCircuit& bench, const ConditionRanges& ranges, const SpecimensOf& specimens,
         SimulatedReadings& into) {
    if (bench.measures.empty()) return;
    const Specimen about = nominal_specimen(bench.circuit, ranges);
    const Engine engine(bench.circuit.circuit, bench.measures, about);
    const SpecimenSource source = specimens(bench.circuit);
    const auto in_lanes = measure_all(engine, source, {.threads = 1, .lanes_only = true});
    std::vector<std::size_t> left;
    for (std::size_t k = 0; k < into.specimens; ++k) {
        if (std::isnan(in_lanes.at(k, 0))) {
            left.push_back(k);
        } else {
            read_all(bench, [&](std::size_t m) { return in_lanes.at(k, m); }, into, k);
        }
    }
    // What lanes leave goes to the solver for single points, a thousand times slower: of many, some
    // stand for all.
    left.resize(std::min(left.size(), std::max(least_alone, into.specimens / share_alone)));
    if (left.empty()) return;
    const SpecimenSource alone{
        .base = source.base,
        .count = left.size(),
        .write = [&](std::size_t k, SpecimenPlace& place) { source.write(left[k], place); }};
    const auto measured = measure_all(engine, alone, {.threads = 1});
    for (std::size_t k = 0; k < left.size(); ++k) {
        read_all(bench, [&](std::size_t m) { return measured.at(k, m); }, into, left[k]);
    }
}

SimulatedReadings room_for(const BenchSetup& setup, std::size_t count) {
    SimulatedReadings result{.specimens = count, .measurements = setup.measurements.size()};
    result.values.assign(count * result.measurements, nothing);
    result.others = result.values;
    for (std::size_t m = 0; m < result.measurements; ++m) {
        if (!crosses_gap(setup.measurements[m])) continue;
        // Sides that are apart: more than any hand-held meter shows.
        for (std::size_t k = 0; k < count; ++k) {
            result.at(k, m) = std::numeric_limits<double>::infinity();
        }
    }
    return result;
}

}  // namespace

Expected<SimulatedReadings> simulate_specimens(const Link& link, const BenchSetup& setup,
                                               const std::optional<SideBridge>& bridge,
                                               std::size_t count, const SpecimensOf& specimens) {
    auto circuits = bench_circuits(link, setup.meter, setup.measurements, setup.nominals);
    if (!circuits) return std::unexpected(circuits.error());
    if (bridge) {
        auto isolation = isolation_circuit(link, setup.meter, setup.measurements, *bridge);
        if (!isolation) return std::unexpected(isolation.error());
        circuits->push_back(std::move(*isolation));
    }
    auto result = room_for(setup, count);
    for (const auto& circuit : *circuits) run(circuit, setup.conditions, specimens, result);
    return result;
}

Expected<SimulatedReadings> simulate_readings(const Link& link, const BenchSetup& setup,
                                              const std::optional<SideBridge>& bridge,
                                              std::uint64_t seed, std::size_t count) {
    return simulate_specimens(link, setup, bridge, count, [&](const LinkCircuit& circuit) {
        return population_source(circuit, setup.conditions, seed, count);
    });
}

Expected<std::vector<double>> nominal_readings(const Link& link, const BenchSetup& setup) {
    const auto circuits = bench_circuits(link, setup.meter, setup.measurements, setup.nominals);
    if (!circuits) return std::unexpected(circuits.error());
    auto result = room_for(setup, 1);
    for (const auto& bench : *circuits) {
        const Specimen nominal = nominal_specimen(bench.circuit, setup.conditions);
        const auto points = solve_link(bench.circuit.circuit, nominal.values, nominal.conditions);
        if (!points) continue;
        const auto value = [&](std::size_t m) {
            const Measure& measure = bench.measures[m];
            return gapwright::measure(measure.probe, (*points)[to_index(measure.state)]);
        };
        read_all(bench, value, result, 0);
    }
    return result.values;
}

}  // namespace gapwright
