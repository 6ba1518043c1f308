// How long one specimen takes, on one thread, on the clock tower's links; and a whole proof.
#include <benchmark/benchmark.h>

#include "proof/proof.hpp"

namespace {

using namespace gapwright;

const char* const names[] = {"bell-hammer",   "lamp-watch", "pendulum-beat",
                             "night-silence", "chime-bus",  "winder-motor"};

Link link_named(const std::string& name) {
    return *read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml");
}

void specimens(benchmark::State& state) {
    const std::string name = names[state.range(0)];
    const Link link = link_named(name);
    const LinkCircuit circuit = *build_circuit(link);
    const ConditionRanges ranges = condition_ranges(link);
    const Specimen nominal = nominal_specimen(circuit, ranges);
    const auto start = solve_link(circuit.circuit, nominal.values, nominal.conditions);
    std::uint64_t k = 0;
    for (auto _ : state) {
        const Specimen specimen = draw_specimen(circuit, ranges, 1, k++);
        benchmark::DoNotOptimize(
            solve_link(circuit.circuit, specimen.values, specimen.conditions, &*start));
    }
    state.SetLabel(name);
    state.SetItemsProcessed(state.iterations());
}
BENCHMARK(specimens)->DenseRange(0, 5)->Unit(benchmark::kMicrosecond);

void proof_of_bell_hammer(benchmark::State& state) {
    const Link link = link_named("bell-hammer");
    const LinkCircuit circuit = *build_circuit(link);
    for (auto _ : state) benchmark::DoNotOptimize(prove(link, circuit, {}));
}
BENCHMARK(proof_of_bell_hammer)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
