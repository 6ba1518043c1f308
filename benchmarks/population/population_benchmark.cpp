// How the engine's time grows: with the number of unknowns, of specimens, of threads. And a whole
// proof.
#include <benchmark/benchmark.h>

#include <iostream>

#include "proof/proof.hpp"
#include "proof/prove.hpp"

namespace {

using namespace gapwright;

Link example(const std::string& name) {
    return *read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml");
}

// A coupler whose receiver feeds as many strings of resistor and light-emitting diode as asked.
Link link_of(int strings) {
    std::string paths;
    std::string parts;
    for (int k = 1; k <= strings; ++k) {
        const std::string n = std::to_string(k);
        paths += ", \"node > R" + n + " > D" + n + " > return\"";
        parts += "R" + n + " = { kind = \"resistor\", value = \"4.7 kΩ ± 5 %\" }\n";
        parts += "D" + n + " = { card = \"red-led\" }\n";
    }
    const std::string text = R"([surroundings]
temperature = "-10 .. 50 °C"
[input]
supply = "5 V ± 5 %"
paths = ["supply > R0 > U0 > return"]
[output]
supply = "12 V ± 5 %"
paths = ["supply > U0 > node")" +
                             paths + R"(]
[parts]
R0 = { kind = "resistor", value = "330 Ω ± 5 %" }
U0 = { card = "four-pin-coupler-b" }
)" + parts + R"([states]
on = {}
[[promise]]
state = "on"
current = "R1"
at_least = "1 µA"
)";
    auto link = read_link(std::make_shared<SourceText>("made.link.toml", text), ".");
    if (!link) {
        std::cerr << to_text(link.error());
        std::exit(1);
    }
    return *link;
}

struct Subject {
    explicit Subject(Link from)
        : link(std::move(from)), circuit(*build_circuit(link)), ranges(condition_ranges(link)) {
        for (std::size_t s = 0; s < link.states.size(); ++s) {
            for (std::size_t p = 0; p < link.parts.size(); ++p) {
                if (const auto& placed = circuit.of(p, Side::output)) {
                    measures.push_back({static_cast<StateIndex>(s), placed->current()});
                }
            }
        }
    }
    Engine engine() const {
        return {circuit.circuit, measures, nominal_specimen(circuit, ranges),
                figure_ranges(circuit, ranges)};
    }

    Link link;
    LinkCircuit circuit;
    ConditionRanges ranges;
    std::vector<Measure> measures;
};

void run(benchmark::State& state, const Subject& s, std::size_t count, unsigned threads) {
    const Engine engine = s.engine();
    const auto source = population_source(s.circuit, s.ranges, 1, count);
    EngineOutcome outcome;
    for (auto _ : state) {
        outcome =
            engine.run(source, [](std::size_t, const MeasuredGroup&) {}, {.threads = threads});
    }
    state.counters["alone"] = static_cast<double>(outcome.by_single_points);
    state.counters["µs each"] = benchmark::Counter(
        static_cast<double>(count) * 1e-6,
        benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}

void unknowns(benchmark::State& state) {
    const Subject s(link_of(static_cast<int>(state.range(0))));
    const auto plan = s.engine().plan();
    state.counters["unknowns"] =
        plan ? static_cast<double>(plan->input.unknowns + plan->output.unknowns) : 0;
    run(state, s, 4096, 1);
}
BENCHMARK(unknowns)->Arg(1)->Arg(2)->Arg(4)->Arg(8)->UseRealTime();

void specimens(benchmark::State& state) {
    run(state, Subject(example("bell-hammer")), static_cast<std::size_t>(state.range(0)), 2);
}
BENCHMARK(specimens)
    ->RangeMultiplier(10)
    ->Range(100, 10000000)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void threads(benchmark::State& state) {
    run(state, Subject(example("bell-hammer")), 200000, static_cast<unsigned>(state.range(0)));
}
BENCHMARK(threads)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

void proof_of_bell_hammer(benchmark::State& state) {
    const Link link = example("bell-hammer");
    const LinkCircuit circuit = *build_circuit(link);
    ProofOptions options;
    options.samples = static_cast<std::size_t>(state.range(0));
    for (auto _ : state) benchmark::DoNotOptimize(prove(link, circuit, options));
}
BENCHMARK(proof_of_bell_hammer)
    ->Arg(100000)
    ->Arg(1000000)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace

BENCHMARK_MAIN();
