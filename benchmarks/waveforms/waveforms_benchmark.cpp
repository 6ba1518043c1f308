// How long a waveform takes: every change of every example, and how that grows with the number of
// parts and with the span between the shortest and the longest time constant. And a study of
// delays.
#include <benchmark/benchmark.h>

#include <iostream>

#include "proof/timed/delay_study.hpp"
#include "proof/timed/wave_answer.hpp"

namespace {

using namespace gapwright;

struct Subject {
    Link link;
    LinkCircuit circuit;

    explicit Subject(Link from) : link(std::move(from)), circuit(*build_circuit(link)) {}
};

Subject example(const std::string& name) {
    return Subject(*read_link_file(PROJECT_FOLDER "/examples/clock-tower/" + name + ".link.toml"));
}

// A contact charges a ladder of resistors and capacitors; each section so many times slower than
// the one before it.
Subject ladder(int sections, double ratio) {
    std::string paths = "\"supply > S1 > N0\"";
    std::string parts;
    double farads = 1e-12;
    for (int k = 1; k <= sections; ++k) {
        const std::string n = std::to_string(k);
        paths += ", \"N" + std::to_string(k - 1) + " > R" + n + " > N" + n + "\", \"N" + n +
                 " > C" + n + " > return\", \"N" + n + " > B" + n + " > return\"";
        parts += "R" + n + " = { kind = \"resistor\", value = \"1 kΩ\" }\nB" + n +
                 " = { kind = \"resistor\", value = \"10 MΩ\" }\nC" + n +
                 " = { kind = \"capacitor\", value = \"" + std::to_string(farads * 1e12) +
                 " pF\" }\n";
        farads *= ratio;
    }
    const std::string text = R"([input]
supply = "5 V"
paths = [)" + paths + R"(, "supply > R0 > U0 > return"]
[output]
supply = "5 V"
paths = ["supply > RL > U0 > return"]
[parts]
S1 = { kind = "contact" }
R0 = { kind = "resistor", value = "330 Ω" }
RL = { kind = "resistor", value = "10 kΩ" }
U0 = { card = "four-pin-coupler-b" }
)" + parts + R"([states]
off = { S1 = "open" }
on = { S1 = "closed" }
)";
    auto link = read_link(std::make_shared<SourceText>("made.link.toml", text), ".");
    if (!link) {
        std::cerr << to_text(link.error());
        std::exit(1);
    }
    return Subject(*link);
}

void follow(benchmark::State& state, const Subject& subject, std::size_t before,
            std::size_t after) {
    const Specimen specimen = nominal_specimen(subject.circuit, condition_ranges(subject.link));
    const Schedule schedule{.from = static_cast<StateIndex>(before),
                            .changes = {{0, static_cast<StateIndex>(after)}}};
    std::size_t steps = 0;
    for (auto _ : state) {
        const auto run = specimen_wave(subject.circuit.circuit, specimen, schedule, {});
        if (!run) state.SkipWithError(run.error().message.c_str());
        if (run) steps = run->wave.steps;
    }
    state.counters["steps"] = static_cast<double>(steps);
}

void study(benchmark::State& state, const std::string& name) {
    const Subject subject = example(name);
    const auto answer = wave_answer(subject.link, subject.circuit, {});
    for (auto _ : state) {
        benchmark::DoNotOptimize(delay_study(subject.circuit, condition_ranges(subject.link),
                                             answer->delays, 1000, 1, {}));
    }
}

void add_all() {
    for (const char* name : {"bell-hammer", "chime-bus", "lamp-watch", "night-silence",
                             "pendulum-beat", "winder-motor"}) {
        for (const auto& [before, after] : {std::pair{0U, 1U}, std::pair{1U, 0U}}) {
            const Subject subject = example(name);
            const std::string title = std::string("change/") + name + "/" +
                                      subject.link.states[before].name + ">" +
                                      subject.link.states[after].name;
            benchmark::RegisterBenchmark(title.c_str(), [=](benchmark::State& s) {
                follow(s, subject, before, after);
            })->Unit(benchmark::kMillisecond);
        }
    }
    for (const int sections : {2, 4, 8, 16, 32}) {
        benchmark::RegisterBenchmark(
            ("parts/" + std::to_string(3 * sections)).c_str(),
            [=](benchmark::State& s) { follow(s, ladder(sections, 1.0), 0, 1); })
            ->Unit(benchmark::kMillisecond);
    }
    for (const double ratio : {1.0, 1e2, 1e4, 1e6}) {
        benchmark::RegisterBenchmark(
            ("span/1e" + std::to_string(static_cast<int>(std::lround(3 * std::log10(ratio)))))
                .c_str(),
            [=](benchmark::State& s) { follow(s, ladder(4, ratio), 0, 1); })
            ->Unit(benchmark::kMillisecond);
    }
    for (const char* name : {"chime-bus", "bell-hammer"}) {
        benchmark::RegisterBenchmark((std::string("delays of 1000 specimens/") + name).c_str(),
                                     [=](benchmark::State& s) { study(s, name); })
            ->Unit(benchmark::kSecond)
            ->UseRealTime();
    }
}

}  // namespace

int main(int argc, char** argv) {
    add_all();
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
    return 0;
}
