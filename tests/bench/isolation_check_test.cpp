#include "bench/reasoning/isolation_check.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "bench/bench_links.hpp"
#include "bench/faulty_readings.hpp"
#include "bench/meter/meter_error.hpp"
#include "bench/reasoning/bench_verdict.hpp"

namespace gapwright {
namespace {

using testing_support::example_at_bench;
using testing_support::LinkAtBench;
using testing_support::readings_with;

// Somebody at a link with a way across: asked for readings until the session ends, each as the
// meter shows it.
struct Session {
    std::vector<std::string> measures;
    std::vector<TakenReading> readings;
    BenchVerdict verdict;
    bool powered = false;
};

Session session_with(const LinkAtBench& at, Node input, Node output, double ohms) {
    Fault fault;
    fault.suspect = "a whisker";
    fault.bridge = SideBridge{input, output, exactly(ohms)};
    const auto values = readings_with(at, fault);
    const auto bands = reading_bands(at.dictionary, 1);
    Session session;
    while (session.readings.size() < 60) {
        session.verdict = bench_verdict(at.link, at.dictionary, bands, session.readings, {});
        if (!session.verdict.next) break;
        const std::size_t m = session.verdict.next->measurement;
        const Measurement& of = at.dictionary.measurements[m];
        session.powered = session.powered || of.state != unpowered;
        session.measures.push_back(of.measure);
        session.readings.push_back(
            {.measurement = m, .value = shown(at.dictionary.meter, of.kind, values[m])});
    }
    return session;
}

// From an uncut strip to what a hand leaves on a board: nothing is switched on, and the two ends
// are told.
TEST(IsolationCheck, AWayAcrossEndsTheSessionBeforeAnyPower) {
    for (const char* name : {"night-silence", "pendulum-beat", "winder-motor", "bell-hammer"}) {
        const LinkAtBench& at = example_at_bench(name);
        const auto last = [](const LinkSide& side) {
            return static_cast<Node>(side.node_names.size() - 1);
        };
        for (const double ohms : {0.1, 47.0, 10.2e3, 1.5e6, 9.9e6}) {
            const Session session =
                session_with(at, last(at.link.input), last(at.link.output), ohms);
            EXPECT_EQ(session.verdict.verdict, LinkVerdict::joined) << name << ohms;
            EXPECT_FALSE(session.powered) << name << ohms;
            ASSERT_TRUE(session.verdict.isolation.across.has_value());
            const WayAcross& across = *session.verdict.isolation.across;
            EXPECT_NEAR(across.resistance, ohms, 0.02 * ohms + 0.2) << name;
            const auto holds = [](const std::vector<Node>& nodes, Node node) {
                return std::ranges::find(nodes, node) != nodes.end();
            };
            EXPECT_TRUE(holds(across.input, last(at.link.input))) << name << ohms;
            EXPECT_TRUE(holds(across.output, last(at.link.output))) << name << ohms;
            // Nobody is sent where the meter read nothing.
            for (const TakenReading& r : session.readings) {
                const Measurement& of = at.dictionary.measurements[r.measurement];
                if (std::isfinite(r.value) || (of.all_input && of.all_output)) continue;
                EXPECT_FALSE(holds(of.all_output ? across.input : across.output,
                                   of.all_output ? of.plus : of.minus))
                    << of.measure;
            }
            for (const auto& measure : session.measures) {
                EXPECT_TRUE(measure.starts_with("isolation")) << measure;
            }
        }
    }
}

// Both ways round before the first power; not to be had, the link is never called good.
TEST(IsolationCheck, ALinkIsNotGoodUnlessItWasMeasured) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    const auto bands = reading_bands(at.dictionary, 1);
    SessionOptions options;
    for (const char* measure : {"isolation", "isolation reversed"}) {
        options.not_measurable.push_back(at.measurement(measure, unpowered));
    }
    std::vector<TakenReading> readings;
    BenchVerdict verdict;
    while (readings.size() < 40) {
        verdict = bench_verdict(at.link, at.dictionary, bands, readings, options);
        if (!verdict.next) break;
        const std::size_t m = verdict.next->measurement;
        readings.push_back({.measurement = m, .value = at.dictionary.nominals[m]});
    }
    EXPECT_GT(readings.size(), 5U);
    EXPECT_EQ(verdict.suspects.front().text, "no fault");
    EXPECT_EQ(verdict.verdict, LinkVerdict::undecided);
    EXPECT_FALSE(verdict.isolation.whole);
    // The same readings with isolation measured besides are those of a good link.
    for (const std::size_t m : options.not_measurable) readings.push_back({m, INFINITY});
    while (readings.size() < 40) {
        verdict = bench_verdict(at.link, at.dictionary, bands, readings, {});
        if (!verdict.next) break;
        const std::size_t m = verdict.next->measurement;
        readings.push_back({.measurement = m, .value = at.dictionary.nominals[m]});
    }
    EXPECT_TRUE(verdict.isolation.whole);
    EXPECT_EQ(verdict.verdict, LinkVerdict::good)
        << verdict.suspects[0].share << ' ' << verdict.suspects[1].text << ' '
        << verdict.suspects[1].share << ' ' << verdict.unexplained;
}

std::vector<Measurement> with_a_tester() {
    Measurement all;
    all.kind = MeasurementKind::isolation;
    all.all_input = all.all_output = true;
    Measurement tester = all;
    tester.kind = MeasurementKind::insulation;
    return {all, tester};
}

// An insulation tester sees what the meter's half a volt does not.
TEST(IsolationCheck, ATesterFindsLess) {
    const auto measurements = with_a_tester();
    const auto check = [&](const std::vector<TakenReading>& readings) {
        return check_isolation(measurements, Meter{}, readings, {});
    };
    EXPECT_EQ(check({}).next, 0U);
    EXPECT_EQ(check({{0, INFINITY}}).next, 1U);
    EXPECT_FALSE(check({{0, INFINITY}}).whole);
    EXPECT_TRUE(check({{0, INFINITY}, {1, INFINITY}}).whole);
    EXPECT_FALSE(check({{0, INFINITY}, {1, 500e6}}).across.has_value());
    ASSERT_TRUE(check({{0, INFINITY}, {1, 60e6}}).across.has_value());
    EXPECT_EQ(check({{0, INFINITY}, {1, 60e6}}).across->resistance, 60e6);
    EXPECT_TRUE(check({{0, 19e6}}).across.has_value());
}

TEST(IsolationCheck, ReadAgainTheLastCounts) {
    const auto check =
        check_isolation(with_a_tester(), Meter{}, {{0, 4e6}, {0, INFINITY}, {1, INFINITY}}, {});
    EXPECT_TRUE(check.whole);
    EXPECT_FALSE(check.across.has_value());
}

}  // namespace
}  // namespace gapwright
