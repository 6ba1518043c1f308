// How long a waveform takes: every change of every example, alone and in lanes, and how that grows
// with the number of parts and with the span between the shortest and the longest time constant.
// And a study of delays.
#include <benchmark/benchmark.h>

#include <iostream>

#include "lanes/kernel.hpp"
#include "proof/timed/delay_study.hpp"
#include "proof/timed/wave_answer.hpp"
#include "waveform/lane_waves.hpp"

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

// The same change for as many drawn specimens as a kernel has lanes: the time of one.
void follow_lanes(benchmark::State& state, const Subject& subject, std::size_t before,
                  std::size_t after, const std::string& kernel) {
    const ConditionRanges ranges = condition_ranges(subject.link);
    const Specimen nominal = nominal_specimen(subject.circuit, ranges);
    const Schedule schedule{.from = static_cast<StateIndex>(before),
                            .changes = {{0, static_cast<StateIndex>(after)}}};
    const auto rest = solve_link(subject.circuit.circuit, nominal.values, nominal.conditions);
    std::vector<WaveWatch> watches;
    const auto answer =
        wave_answer(subject.link, subject.circuit, {.before = before, .after = after});
    if (!answer) {
        state.SkipWithError(answer.error().message.c_str());
        return;
    }
    for (const auto& delay : answer->delays) watches.push_back(watch_of(delay.measure));
    const auto planned = plan_lane_waves(subject.circuit.circuit, schedule, watches, nominal.values,
                                         nominal.conditions, *rest, 1e-5);
    if (!planned) {
        state.SkipWithError("no plan for lanes");
        return;
    }
    LaneGroup group(*planned, kernel);
    const auto source = population_source(subject.circuit, ranges, 1, group.width());
    for (std::size_t lane = 0; lane < group.width(); ++lane) {
        SpecimenPlace place(group.specimens() + lane, group.width(), nominal.values.size());
        for (std::size_t v = 0; v < nominal.values.size(); ++v) {
            place.set(static_cast<Slot>(v), nominal.values[v]);
        }
        place.set(nominal.conditions);
        source.write(lane, place);
    }
    std::size_t followed = 0;
    std::size_t groups = 0;
    for (auto _ : state) {
        for (const auto& wave : group.follow(group.width(), {})) followed += wave ? 1 : 0;
        ++groups;
    }
    const auto runs = static_cast<double>(groups);
    state.counters["alone"] =
        runs * static_cast<double>(group.width()) - static_cast<double>(followed);
    state.counters["steps"] = static_cast<double>(group.steps()) / runs;
    state.counters["iterations"] = static_cast<double>(group.iterations()) / runs;
    state.counters["µs each"] =
        benchmark::Counter(runs * static_cast<double>(group.width()) * 1e-6,
                           benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
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
            for (const auto& kernel : usable_kernels()) {
                benchmark::RegisterBenchmark(
                    ("lanes/" + title.substr(7) + "/" + kernel.name).c_str(),
                    [=, name = std::string(kernel.name)](benchmark::State& s) {
                        follow_lanes(s, subject, before, after, name);
                    })
                    ->Unit(benchmark::kMillisecond);
            }
        }
    }
    for (const int sections : {2, 4, 8, 16, 32}) {
        benchmark::RegisterBenchmark(
            ("parts in lanes/" + std::to_string(3 * sections)).c_str(),
            [=](benchmark::State& s) { follow_lanes(s, ladder(sections, 1.0), 0, 1, ""); })
            ->Unit(benchmark::kMillisecond);
        benchmark::RegisterBenchmark(
            ("parts/" + std::to_string(3 * sections)).c_str(),
            [=](benchmark::State& s) { follow(s, ladder(sections, 1.0), 0, 1); })
            ->Unit(benchmark::kMillisecond);
    }
    for (const double ratio : {1.0, 1e2, 1e4, 1e6}) {
        benchmark::RegisterBenchmark(
            ("span in lanes/1e" +
             std::to_string(static_cast<int>(std::lround(3 * std::log10(ratio)))))
                .c_str(),
            [=](benchmark::State& s) { follow_lanes(s, ladder(4, ratio), 0, 1, ""); })
            ->Unit(benchmark::kMillisecond);
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
