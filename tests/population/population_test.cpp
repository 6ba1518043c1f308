// Draws, statistics, and the engine that solves many specimens.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "population/engine.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

struct Subject {
    Link link;
    LinkCircuit circuit;
    ConditionRanges ranges;
};

Subject subject(const std::string& text = plain_link()) {
    auto link = link_from(text);
    auto circuit = build_circuit(*link);
    const auto ranges = condition_ranges(*link);
    return {std::move(*link), std::move(*circuit), ranges};
}

std::vector<Measure> signal_measures(const Subject& s) {
    const Probe probe{.kind = Probe::Kind::voltage,
                      .side = Side::output,
                      .ports = {{.plus = *s.link.output.find_node("signal"),
                                 .minus = Node::side_return,
                                 .current = {}}}};
    return {{StateIndex{0}, probe}, {StateIndex{1}, probe}};
}

Engine engine_of(const Subject& s) {
    return {s.circuit.circuit, signal_measures(s), nominal_specimen(s.circuit, s.ranges)};
}

SpecimenSource drawn(const Subject& s, std::size_t count) {
    return population_source(s.circuit, s.ranges, 42, count);
}

TEST(Engine, SameBytesOnAnyNumberOfThreads) {
    const Subject s = subject();
    const Engine engine = engine_of(s);
    const auto one = measure_all(engine, drawn(s, 5000), {.threads = 1});
    for (const unsigned threads : {2U, 3U, 7U}) {
        EXPECT_EQ(measure_all(engine, drawn(s, 5000), {.threads = threads}).values, one.values)
            << threads;
    }
}

TEST(Engine, CountsSpecimensThatDoNotSettleAndKeepsTheOthers) {
    const Subject s = subject();
    SpecimenSource source = drawn(s, 200);
    source.write = [&](std::size_t k, SpecimenPlace& place) {
        const Specimen specimen = draw_specimen(s.circuit, s.ranges, 42, k);
        for (std::size_t p = 0; p < specimen.values.size(); ++p) {
            const bool spoilt = p == 0 && k % 10 == 3;
            place.set(static_cast<Slot>(p), spoilt ? std::nan("") : specimen.values[p]);
        }
    };
    const auto measured = measure_all(engine_of(s), source);
    EXPECT_EQ(measured.outcome.solved, 200U);
    EXPECT_EQ(measured.outcome.unsettled, 20U);
    EXPECT_EQ(measured.outcome.first_unsettled_number, 3U);
    EXPECT_TRUE(std::isnan(measured.at(3, 0)));
    EXPECT_FALSE(std::isnan(measured.at(4, 0)));
}

TEST(Engine, StopsWhenAsked) {
    const Subject s = subject();
    std::stop_source stop;
    stop.request_stop();
    const auto measured =
        measure_all(engine_of(s), drawn(s, 100000), {.threads = 2, .stop = stop.get_token()});
    EXPECT_TRUE(measured.outcome.stopped);
}

// Eight diodes on one coupler that may or may not be strong enough for them: many specimens need
// more steps than most, in runs short and long.
std::string hungry_link() {
    std::string paths;
    std::string parts;
    for (const char* n : {"1", "2", "3", "4", "5", "6", "7", "8"}) {
        paths += std::string(", \"node > R") + n + " > D" + n + " > return\"";
        parts += std::string("R") + n + " = { kind = \"resistor\", value = \"4.7 kΩ ± 5 %\" }\nD" +
                 n + " = { card = \"red-led\" }\n";
    }
    return R"(title = "Hungry"
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
)" + parts +
           R"([states]
on = {}
)";
}

TEST(Engine, SpecimensThatNeedMoreStepsAreSolvedAllTheSame) {
    const Subject s = subject(hungry_link());
    std::vector<Measure> measures;
    for (std::size_t p = 0; p < s.link.parts.size(); ++p) {
        if (const auto& placed = s.circuit.of(p, Side::output)) {
            measures.push_back({StateIndex{0}, placed->current()});
        }
    }
    const Engine engine(s.circuit.circuit, measures, nominal_specimen(s.circuit, s.ranges),
                        figure_ranges(s.circuit, s.ranges));
    const auto few = measure_all(engine, drawn(s, 200));
    const auto many = measure_all(engine, drawn(s, 10000));
    EXPECT_EQ(many.outcome.unsettled, 0U);
    for (std::size_t k = 0; k < 200; ++k) {
        const Specimen specimen = draw_specimen(s.circuit, s.ranges, 42, k);
        const auto alone = solve_link(s.circuit.circuit, specimen.values, specimen.conditions);
        ASSERT_TRUE(alone) << k;
        for (std::size_t m = 0; m < measures.size(); ++m) {
            const double expected = measure(measures[m].probe, (*alone)[0]);
            EXPECT_NEAR(few.at(k, m), expected, 1e-8 * std::abs(expected) + 1e-12) << k << " " << m;
            EXPECT_NEAR(many.at(k, m), expected, 1e-8 * std::abs(expected) + 1e-12);
        }
    }
}

TEST(Draws, StayInsideTheirLimitsAndFillThem) {
    const Subject s = subject(
        with(plain_link(), "[input]", "[surroundings]\ntemperature = \"-10 .. 45 °C\"\n[input]"));
    constexpr std::size_t samples = 4000;
    for (std::size_t p = 0; p < s.circuit.parameters.size(); ++p) {
        const auto& spread = s.circuit.parameters[p].spread;
        double sum = 0;
        double least = spread.highest;
        double most = spread.lowest;
        for (std::size_t k = 0; k < samples; ++k) {
            const double v = draw_specimen(s.circuit, s.ranges, 9, k).values[p];
            ASSERT_GE(v, spread.lowest);
            ASSERT_LE(v, spread.highest);
            sum += v;
            least = std::min(least, v);
            most = std::max(most, v);
        }
        if (!spread.varies()) continue;
        const double width = spread.highest - spread.lowest;
        const bool in_decades = s.circuit.parameters[p].law() == SpreadLaw::logarithmic;
        const double middle = in_decades ? width / std::log(spread.highest / spread.lowest)
                                         : 0.5 * (spread.lowest + spread.highest);
        EXPECT_NEAR(sum / samples, middle, 0.02 * width);
        EXPECT_LT(least, spread.lowest + 0.01 * width);
        EXPECT_GT(most, spread.highest - 0.01 * width);
    }
}

TEST(Draws, NormalFiguresGatherAtTheNominal) {
    LinkCircuit circuit;
    circuit.parameters.push_back({.id = {},
                                  .spread = {.nominal = 2, .lowest = -1, .highest = 8},
                                  .normal = true,
                                  .dimension = Dimension::ratio});
    std::size_t below = 0;
    std::size_t within_sigma = 0;
    constexpr std::size_t samples = 20000;
    for (std::size_t k = 0; k < samples; ++k) {
        const double v = draw_specimen(circuit, {}, 5, k).values[0];
        below += v < 2 ? 1 : 0;
        within_sigma += (v > 1 && v < 4) ? 1 : 0;
    }
    EXPECT_NEAR(static_cast<double>(below) / samples, 0.5, 0.015);
    // P(|z| < 1) of a normal law truncated at 3σ.
    EXPECT_NEAR(static_cast<double>(within_sigma) / samples, 0.6827 / 0.9973, 0.015);
}

TEST(Draws, SeedsAndNumbersDiffer) {
    const Subject s = subject();
    const auto a = draw_specimen(s.circuit, s.ranges, 1, 0).values;
    EXPECT_EQ(a, draw_specimen(s.circuit, s.ranges, 1, 0).values);
    EXPECT_NE(a, draw_specimen(s.circuit, s.ranges, 1, 1).values);
    EXPECT_NE(a, draw_specimen(s.circuit, s.ranges, 2, 0).values);
}

// Wilson 1927, "Probable inference, the law of succession, and statistical inference"; the closed
// form for k = n is n/(n + z²).
TEST(Wilson, LowerBound) {
    EXPECT_NEAR(wilson_low95(10000, 10000), 10000 / (10000 + 3.841459), 1e-9);
    EXPECT_NEAR(wilson_low95(0, 100), 0.0, 1e-12);
    EXPECT_EQ(wilson_low95(0, 0), 0.0);
    EXPECT_LT(wilson_low95(50, 100), 0.5);
    EXPECT_GT(wilson_low95(500, 1000), wilson_low95(50, 100));
}

// Newcombe 1998, "Two-sided confidence intervals for the single proportion: comparison of seven
// methods", Statistics in Medicine 17, table I, score method without continuity correction; the
// table's values recalled from memory, to its four places.
TEST(Wilson, LowerBoundsOfThePublishedTable) {
    EXPECT_NEAR(wilson_low95(81, 263), 0.2553, 5e-5);
    EXPECT_NEAR(wilson_low95(15, 148), 0.0624, 5e-5);
    EXPECT_NEAR(wilson_low95(0, 20), 0.0000, 5e-5);
    EXPECT_NEAR(wilson_low95(1, 29), 0.0061, 5e-5);
}

}  // namespace
}  // namespace gapwright
