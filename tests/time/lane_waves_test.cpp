// Waveforms of many specimens in lanes: against the single integrator at a much finer tolerance,
// against closed forms, and the same whatever the processor and the number of threads.
#include "waveform/lane_waves.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iostream>
#include <numbers>
#include <tuple>

#include "lanes/kernel.hpp"
#include "support/how_many.hpp"
#include "support/lane_comparison.hpp"
#include "support/link_text.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {
namespace {

using testing_support::compare;
using testing_support::half_ways;
using testing_support::how_many;
using testing_support::LaneComparison;

std::vector<std::string> example_files() {
    std::vector<std::string> files;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        const std::string path = entry.path();
        if (path.ends_with(".link.toml")) files.push_back(path);
    }
    std::ranges::sort(files);
    return files;
}

struct Example {
    Link link;
    LinkCircuit circuit;
    ConditionRanges ranges;
    std::vector<StatePoint> rest;  // nominal
};
Example example(const std::string& file) {
    Example e{.link = std::move(*read_link_file(file)), .circuit = {}, .ranges = {}, .rest = {}};
    e.circuit = std::move(*build_circuit(e.link));
    e.ranges = condition_ranges(e.link);
    const Specimen nominal = nominal_specimen(e.circuit, e.ranges);
    e.rest = std::move(*solve_link(e.circuit.circuit, nominal.values, nominal.conditions));
    return e;
}

std::vector<Specimen> specimens_of(const Example& e, std::size_t drawn) {
    std::vector<Specimen> specimens{nominal_specimen(e.circuit, e.ranges)};
    for (std::size_t k = 0; k < drawn; ++k) {
        specimens.push_back(draw_specimen(e.circuit, e.ranges, 1, k));
    }
    return specimens;
}

Schedule change(std::size_t from, std::size_t to) {
    return {.from = static_cast<StateIndex>(from), .changes = {{0, static_cast<StateIndex>(to)}}};
}

TEST(LaneWaves, OfTheExamplesAreThoseOfTheSingleIntegrator) {
    for (const auto& file : example_files()) {
        const Example e = example(file);
        const auto specimens = specimens_of(e, how_many<std::size_t>(4, 60));
        for (std::size_t a = 0; a < e.link.states.size(); ++a) {
            for (std::size_t b = 0; b < e.link.states.size(); ++b) {
                if (a == b) continue;
                const auto watches = half_ways(e.circuit.circuit, e.rest[a], e.rest[b], 0.1);
                LaneComparison all;
                compare(e.circuit.circuit, change(a, b), watches, specimens, 1e-5, 24, all);
                SCOPED_TRACE(file + " " + e.link.states[a].name + " > " + e.link.states[b].name);
                EXPECT_EQ(all.not_followed, 0U);
                EXPECT_EQ(all.other_count, 0U);
                EXPECT_GE(all.crossings, specimens.size());
                EXPECT_LE(all.time, 1e-4) << all.where;
                EXPECT_LE(all.peak, 2e-3) << all.where_peak;
            }
        }
    }
}

// Edges between the sides, then a dip of each supply, in one state.
TEST(LaneWaves, OfDisturbancesAreThoseOfTheSingleIntegrator) {
    for (const auto& file : example_files()) {
        const Example e = example(file);
        for (std::size_t s = 0; s < e.link.states.size(); ++s) {
            const Schedule schedule{
                .from = static_cast<StateIndex>(s),
                .dips = {{Side::input, 3e-3, 1e-3, 0.2}, {Side::output, 6e-3, 1e-3, 0.2}},
                .surges = {{0, 1e-6, 1e8}, {1e-3, 1e-6, -1e8}}};
            std::vector<WaveWatch> watches;
            for (std::size_t n = 1; n < e.circuit.circuit.states[0].output.nodes; ++n) {
                watches.push_back(
                    {.probe = {.kind = Probe::Kind::voltage,
                               .side = Side::output,
                               .ports = {{static_cast<Node>(n), Node::side_return, {}}}}});
            }
            LaneComparison all;
            compare(e.circuit.circuit, schedule, watches, specimens_of(e, 4), 1e-5, 24, all);
            SCOPED_TRACE(file + " " + e.link.states[s].name);
            EXPECT_EQ(all.not_followed, 0U);
            EXPECT_LE(all.peak, 2e-3) << all.where_peak;
        }
    }
}

// A capacitor through a resistor: half-way after ln 2 · R · C. The error follows the tolerance.
TEST(LaneWaves, ChargesACapacitorAsTheClosedFormSays) {
    const auto link = testing_support::link_from(R"(
title = "Charge"
[input]
supply = "5 V"
paths = ["supply > S1 > R1 > up", "up > C1 > return", "up > R2 > return", "supply > R3 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R4 > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "1 kΩ" }
R2 = { kind = "resistor", value = "3 kΩ" }
C1 = { kind = "capacitor", value = "1 µF" }
R3 = { kind = "resistor", value = "330 Ω" }
R4 = { kind = "resistor", value = "10 kΩ" }
U1 = { card = "four-pin-coupler-b" }
[states]
off = { S1 = "open" }
on = { S1 = "closed" }
)");
    ASSERT_TRUE(link);
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit);
    const Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
    const auto rest = solve_link(circuit->circuit, specimen.values, specimen.conditions);
    ASSERT_TRUE(rest);
    const Node up = *link->side(Side::input).find_node("up");
    const double begin = (*rest)[0].input.voltage(up);
    const double end = (*rest)[1].input.voltage(up);
    const std::vector<WaveWatch> watches{{.probe = {.kind = Probe::Kind::voltage,
                                                    .side = Side::input,
                                                    .ports = {{up, Node::side_return, {}}}},
                                          .level = 0.5 * (begin + end)}};
    double before = 1;
    for (const double tolerance : {1e-3, 1e-5, 1e-7}) {
        const auto planned =
            plan_lane_waves(circuit->circuit, change(0, 1), watches, specimen.values,
                            specimen.conditions, *rest, tolerance);
        ASSERT_TRUE(planned);
        LaneGroup group(*planned, "");
        testing_support::write_specimen(group, 0, specimen);
        const auto waves = group.follow(1, {});
        ASSERT_TRUE(waves[0]);
        ASSERT_EQ(waves[0]->crossings.size(), 1U);
        const double ohms = 3000.0 * (5 - end) / 5;  // what charges it, R2 among it, by its end
        const double half = std::numbers::ln2 * ohms * 1e-6;
        const double off = std::abs(waves[0]->crossings[0].at / half - 1);
        EXPECT_LE(off, 0.3 * before) << tolerance;
        EXPECT_LE(off, 10 * tolerance) << tolerance;
        before = std::max(off, 1e-9);
    }
}

// A light-dependent resistor in a divider, from light to dark and back: while its resistance is
// below that at 10 lx its conductance follows as a first order, so that the voltage is half-way
// after τ·ln of a ratio of conductances. Alone and in lanes.
TEST(LaneWaves, ACellFollowsItsLightAsTheClosedFormSays) {
    const auto link = testing_support::link_from(R"(
title = "Cell"
[surroundings]
light = "0 lx"
[input]
supply = "5 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > out", "out > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "330 Ω" }
U1 = { kind = "pair", emitter = "white-lamp-led", receiver = "ldr-11mm", distance = "30 mm", shroud = "99.9 %" }
R2 = { kind = "resistor", value = "1 kΩ" }
[states]
off = { S1 = "open" }
on = { S1 = "closed" }
)");
    ASSERT_TRUE(link);
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit);
    const Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
    const auto rest = solve_link(circuit->circuit, specimen.values, specimen.conditions);
    ASSERT_TRUE(rest);
    const Node out = *link->side(Side::output).find_node("out");
    const auto voltage = [&](std::size_t state) { return (*rest)[state].output.voltage(out); };
    const auto conductance = [](double v) { return (5 - v) / 1e3 / v; };
    const double half = 0.5 * (voltage(0) + voltage(1));
    const std::vector<WaveWatch> watches{{.probe = {.kind = Probe::Kind::voltage,
                                                    .side = Side::output,
                                                    .ports = {{out, Node::side_return, {}}}},
                                          .level = half}};
    ASSERT_GT(conductance(half) * 6e3, 2);  // still a first order there
    for (const auto& [from, to, time] : {std::tuple{0U, 1U, 35e-3}, std::tuple{1U, 0U, 20e-3}}) {
        const double begin = conductance(voltage(from));
        const double end = conductance(voltage(to));
        const double expected = time * std::log((end - begin) / (end - conductance(half)));
        const auto alone = specimen_wave(circuit->circuit, specimen, change(from, to), watches);
        ASSERT_TRUE(alone);
        EXPECT_NEAR(alone->wave.crossings.at(0).at, expected, 5e-6 * expected) << from;
        const auto planned = plan_lane_waves(circuit->circuit, change(from, to), watches,
                                             specimen.values, specimen.conditions, *rest, 1e-6);
        ASSERT_TRUE(planned);
        LaneGroup group(*planned, "");
        testing_support::write_specimen(group, 0, specimen);
        const auto waves = group.follow(1, {});
        ASSERT_TRUE(waves[0]);
        EXPECT_NEAR(waves[0]->crossings.at(0).at, expected, 5e-6 * expected) << from;
    }
}

// Two MOSFETs without charge behind an RC: what they switch follows its voltage within a thousandth
// of a step. Found from outside: such crossings were up to a tenth early.
TEST(LaneWaves, ASteepNodeWithoutChargeCrossesWhenWhatItFollowsDoes) {
    const auto link = testing_support::link_from(R"(
title = "Steep"
[input]
supply = "5 V"
paths = ["supply > S9 > R91 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > P2 > R2 > M1.gate", "M1.gate > C1 > return", "supply > R3 > M2.gate", "M2.gate > M1 > return", "supply > R4 > out", "out > M2 > return", "supply > R92 > x", "x > U1 > return"]
[parts]
S9 = { kind = "contact" }
R91 = { kind = "resistor", value = "330 Ω ± 5 %" }
R92 = { kind = "resistor", value = "4.7 kΩ" }
U1 = { card = "four-pin-coupler-b" }
P2 = { kind = "logic output", high = "5 V", low = "0 V", resistance = "25 Ω" }
R2 = { kind = "resistor", value = "10 kΩ" }
R3 = { kind = "resistor", value = "10 kΩ" }
R4 = { kind = "resistor", value = "10 kΩ" }
C1 = { kind = "capacitor", value = "1 nF" }
M1 = { kind = "mosfet", channel = "n", threshold = "2 V", transconductance = "0.5 A/V²", slope_factor = 1.3, channel_modulation = 0.01, threshold_slope = "-3 mV/K" }
M2 = { kind = "mosfet", channel = "n", threshold = "2 V", transconductance = "0.5 A/V²", slope_factor = 1.3, channel_modulation = 0.01, threshold_slope = "-3 mV/K" }
[states]
off = { S9 = "open", P2 = "low" }
on = { S9 = "closed", P2 = "high" }
)");
    ASSERT_TRUE(link);
    const auto circuit = build_circuit(*link);
    ASSERT_TRUE(circuit);
    const auto ranges = condition_ranges(*link);
    std::vector<Specimen> specimens{nominal_specimen(*circuit, ranges)};
    for (std::size_t k = 0; k < 6; ++k) specimens.push_back(draw_specimen(*circuit, ranges, 1, k));
    const Node out = *link->side(Side::output).find_node("out");
    for (const double level : {0.5, 2.5, 4.5}) {
        const std::vector<WaveWatch> watches{{.probe = {.kind = Probe::Kind::voltage,
                                                        .side = Side::output,
                                                        .ports = {{out, Node::side_return, {}}}},
                                              .level = level}};
        for (const auto& [from, to] : {std::pair{0U, 1U}, std::pair{1U, 0U}}) {
            LaneComparison all;
            compare(circuit->circuit, change(from, to), watches, specimens, 1e-5, 5, all);
            EXPECT_EQ(all.not_followed, 0U);
            EXPECT_EQ(all.other_count, 0U);
            EXPECT_EQ(all.crossings, specimens.size());
            EXPECT_LE(all.time, 1e-4) << level << ": " << all.where;
        }
    }
}

TimedMeasure half_way(const WaveWatch& watch) {
    return {.reading = TimedMeasure::Reading::reach,
            .schedule = change(0, 1),
            .probe = watch.probe,
            .level = *watch.level,
            .bit = 0};
}

std::vector<TimedMeasure> delays_of(const Example& e) {
    std::vector<TimedMeasure> measures;
    for (const auto& watch : half_ways(e.circuit.circuit, e.rest[0], e.rest[1], 0.1)) {
        measures.push_back(half_way(watch));
    }
    return measures;
}

Measurements measured(const Example& e, std::size_t count, const EngineOptions& options) {
    return timed_measurer(e.circuit.circuit, delays_of(e), {.tolerance = 1e-5})
        .run(population_source(e.circuit, e.ranges, 3, count), options);
}

TEST(LaneWaves, AreTheSameOnAnyNumberOfThreads) {
    const Example e = example(PROJECT_FOLDER "/examples/clock-tower/chime-bus.link.toml");
    const auto one = measured(e, 100, {.threads = 1});
    const auto three = measured(e, 100, {.threads = 3});
    EXPECT_EQ(one.outcome.solved, 100U);
    EXPECT_EQ(one.outcome.by_single_points, 0U);
    EXPECT_EQ(one.values, three.values);
}

// Rounding alone tells processors apart.
TEST(LaneWaves, AgreeAcrossInstructionSets) {
    for (const char* name : {"chime-bus", "bell-hammer"}) {
        const Example e =
            example(std::string(PROJECT_FOLDER "/examples/clock-tower/") + name + ".link.toml");
        const auto widest = measured(e, 64, {});
        for (const auto& kernel : usable_kernels()) {
            const auto other = measured(e, 64, {.kernel = kernel.name});
            EXPECT_EQ(other.outcome.by_single_points, 0U);
            std::size_t same = 0;
            double largest = 0;
            for (std::size_t k = 0; k < widest.values.size(); ++k) {
                const double size = std::max(std::abs(widest.values[k]), 1e-11);
                const double apart = std::abs(other.values[k] - widest.values[k]) / size;
                largest = std::max(largest, apart);
                if (apart <= 1e-9) ++same;
            }
            std::cout << name << " on " << kernel.name << ": " << same << " of "
                      << widest.values.size() << " within 1e-9, all within " << largest << '\n';
            EXPECT_LE(largest, 1e-7);
            EXPECT_GE(same, widest.values.size() * 99 / 100);
        }
    }
}

// A lane knows nothing of its neighbours, but for how far its points at rest were iterated.
TEST(LaneWaves, DoNotDependOnTheirNeighbours) {
    for (const char* name : {"chime-bus", "bell-hammer"}) {
        const Example e =
            example(std::string(PROJECT_FOLDER "/examples/clock-tower/") + name + ".link.toml");
        const auto together = measured(e, 24, {});
        const auto source = population_source(e.circuit, e.ranges, 3, 24);
        const Measurer measurer =
            timed_measurer(e.circuit.circuit, delays_of(e), {.tolerance = 1e-5});
        for (std::size_t k = 0; k < 24; ++k) {
            const SpecimenSource one{
                .base = source.base, .count = 1, .write = [&](std::size_t, SpecimenPlace& place) {
                    source.write(k, place);
                }};
            const auto alone = measurer.run(one, {});
            for (std::size_t m = 0; m < together.measures; ++m) {
                const double size = std::max(std::abs(together.at(k, m)), 1e-11);
                EXPECT_NEAR(alone.at(0, m), together.at(k, m), 1e-7 * size) << name << ' ' << k;
            }
        }
    }
}

TEST(LaneWaves, StopWhenAsked) {
    const Example e = example(PROJECT_FOLDER "/examples/clock-tower/bell-hammer.link.toml");
    std::stop_source stop;
    stop.request_stop();
    EngineOptions options;
    options.stop = stop.get_token();
    const auto stopped = measured(e, 1000, options);
    EXPECT_TRUE(stopped.outcome.stopped);
    EXPECT_EQ(stopped.outcome.solved, 0U);
}

}  // namespace
}  // namespace gapwright
