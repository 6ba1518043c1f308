// Guided sessions at a simulated bench: built links with one fault, and good ones.
#include "bench/sessions/guided_session.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string_view>

#include "bench/bench_links.hpp"
#include "bench/hand_dictionary.hpp"
#include "support/how_many.hpp"
#include "support/simulated_session.hpp"

namespace gapwright {
namespace {

using testing::built_links;
using testing::BuiltLink;
using testing::run_session;
using testing::SessionResult;
using testing_support::all_read;
using testing_support::example_at_bench;
using testing_support::hand_dictionary;
using testing_support::LinkAtBench;
using testing_support::meter_off_by;

const std::size_t faulty_links = testing_support::how_many(6U, 20U);
const std::size_t good_links = testing_support::how_many(6U, 20U);

constexpr const char* examples[] = {"bell-hammer", "pendulum-beat"};

// Built links, each with another fault: every suspect is as likely to be drawn as any other.
std::vector<BuiltLink> some_faulty(const LinkAtBench& at, std::size_t count) {
    const FaultDictionary& d = at.dictionary;
    std::mt19937_64 random(31);
    std::vector<BuiltLink> built;
    while (built.size() < count) {
        const std::size_t suspect = 1 + random() % (d.suspects.size() - 1);
        std::vector<std::size_t> cells;
        for (std::size_t f = 0; f < d.faults.size(); ++f) {
            if (d.suspect_of[f] == suspect) cells.push_back(f);
        }
        const Fault& fault = d.faults[cells[random() % cells.size()]];
        for (auto& link : built_links(at.prepared, d, fault, 1, 5000 + built.size())) {
            built.push_back(std::move(link));
        }
    }
    return built;
}

TEST(GuidedSession, FindsFaultsWithFewReadings) {
    for (const char* name : examples) {
        const LinkAtBench& at = example_at_bench(name);
        std::size_t first = 0;
        std::size_t readings = 0;
        const auto built = some_faulty(at, faulty_links);
        for (std::size_t k = 0; k < built.size(); ++k) {
            const SessionResult result = run_session(at.dictionary, built[k], {}, k);
            first += result.place_alike == 1 ? 1 : 0;
            readings += result.readings.size();
        }
        const auto count = static_cast<double>(built.size());
        EXPECT_GE(static_cast<double>(first + 1), 0.85 * count) << name;  // of few, one more
        // Isolation and what the power need not be on for come first.
        EXPECT_LE(static_cast<double>(readings), 14 * count) << name;
    }
}

TEST(GuidedSession, ClearsGoodLinks) {
    for (const char* name : examples) {
        const LinkAtBench& at = example_at_bench(name);
        std::size_t cleared = 0;
        const auto good = built_links(at.prepared, at.dictionary, Fault{}, good_links, 4711);
        ASSERT_EQ(good.size(), good_links);
        for (std::size_t k = 0; k < good.size(); ++k) {
            cleared += run_session(at.dictionary, good[k], {}, k).place == 1 ? 1 : 0;
        }
        EXPECT_GE(static_cast<double>(cleared), 0.95 * static_cast<double>(good.size())) << name;
    }
}

// Asks for one reading after the other and answers from a built link without the meter's error.
std::vector<std::size_t> asked_for(const FaultDictionary& dictionary, const BuiltLink& built,
                                   const SessionOptions& options) {
    Suspicion suspicion(dictionary, options.no_fault);
    std::vector<TakenReading> readings;
    std::vector<std::size_t> asked;
    auto conclusion = conclude(suspicion, readings, options);
    while (!conclusion.ended() && asked.size() < 100) {
        const std::size_t m = conclusion.next->measurement;
        asked.push_back(m);
        readings.push_back({m, built.readings[m]});
        conclusion = conclude(suspicion, readings, options);
    }
    return asked;
}

TEST(GuidedSession, AsksForNothingTwiceAndEnds) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    SessionOptions options;
    options.sure = 1.1;  // never
    options.cleared = 1.1;
    options.least_bits = 0;
    options.apart_bits = 0;
    for (const std::size_t most : {7U, 20U}) {
        options.most_readings = most;
        for (const auto& built : some_faulty(at, 2)) {
            const auto asked = asked_for(at.dictionary, built, options);
            EXPECT_EQ(std::set(asked.begin(), asked.end()).size(), asked.size());
            EXPECT_EQ(asked.size(), most);
        }
    }
}

// What the power being off shows is made sure of with the power off: nothing is switched on that is
// known to be wrong.
TEST(GuidedSession, MakesSureOfAColdFaultCold) {
    const auto& d = example_at_bench("bell-hammer").dictionary;
    std::vector<TakenReading> readings;
    const auto read = [&](std::string_view measure, double value) {
        const auto found = std::ranges::find(d.measurements, measure, &Measurement::measure);
        ASSERT_NE(found, d.measurements.end()) << measure;
        readings.push_back({static_cast<std::size_t>(found - d.measurements.begin()), value});
    };
    read("isolation", INFINITY);
    read("isolation reversed", INFINITY);
    read("resistance across R1", 33e3);
    Suspicion suspicion(d, SessionOptions{}.no_fault);
    const auto conclusion = conclude(suspicion, readings, {});
    EXPECT_GE(conclusion.suspects.front().share, SessionOptions{}.sure);
    ASSERT_TRUE(conclusion.next);
    const Measurement& next = d.measurements[conclusion.next->measurement];
    EXPECT_EQ(next.state, unpowered) << next.measure;
    EXPECT_FALSE(next.off || next.lifted) << next.measure;
}

TEST(GuidedSession, NeverAsksForWhatCannotBeMeasured) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    const auto built = some_faulty(at, 4);
    SessionOptions options;
    std::set<std::size_t> before;
    for (const auto& link : built) {
        for (const std::size_t m : asked_for(at.dictionary, link, options)) before.insert(m);
    }
    ASSERT_FALSE(before.empty());
    options.not_measurable.assign(before.begin(), before.end());
    for (const auto& link : built) {
        const auto asked = asked_for(at.dictionary, link, options);
        EXPECT_FALSE(asked.empty());
        for (const std::size_t m : asked) EXPECT_FALSE(before.contains(m));
    }
    for (std::size_t m = 0; m < at.dictionary.measurements.size(); ++m) {
        if (!before.contains(m)) options.not_measurable.push_back(m);
    }
    EXPECT_TRUE(asked_for(at.dictionary, built.front(), options).empty());
}

TEST(GuidedSession, IsDeterministicOnAnyNumberOfThreads) {
    const LinkAtBench& at = example_at_bench("pendulum-beat");
    for (const auto& built : some_faulty(at, 3)) {
        SessionOptions one;
        one.engine.threads = 1;
        SessionOptions three;
        three.engine.threads = 3;
        const SessionResult a = run_session(at.dictionary, built, one, 8);
        const SessionResult b = run_session(at.dictionary, built, three, 8);
        ASSERT_EQ(a.readings.size(), b.readings.size());
        for (std::size_t k = 0; k < a.readings.size(); ++k) {
            EXPECT_EQ(a.readings[k].measurement, b.readings[k].measurement);
            EXPECT_EQ(a.readings[k].value, b.readings[k].value);
        }
        ASSERT_EQ(a.conclusion.suspects.size(), b.conclusion.suspects.size());
        for (std::size_t k = 0; k < a.conclusion.suspects.size(); ++k) {
            EXPECT_EQ(a.conclusion.suspects[k].suspect, b.conclusion.suspects[k].suspect);
            EXPECT_EQ(a.conclusion.suspects[k].share, b.conclusion.suspects[k].share);
        }
    }
}

TEST(GuidedSession, NamesThoseThatNoReadingTellsApart) {
    const auto dictionary = hand_dictionary({{"", 0, {all_read(1), all_read(1)}},
                                             {"a", 1, {all_read(4), all_read(2)}},
                                             {"b", 1, {all_read(4), all_read(2)}},
                                             {"c", 1, {all_read(4), all_read(6)}}},
                                            meter_off_by(0.005));
    Suspicion suspicion(dictionary, 0.1);
    SessionOptions options;  // supplies are not to be had
    for (std::size_t m = 0; m < dictionary.measurements.size(); ++m) {
        const Measurement& of = dictionary.measurements[m];
        if (m > 1 && of.plus == supply_node && of.minus == Node::side_return) {
            options.not_measurable.push_back(m);
        }
    }
    const auto before = conclude(suspicion, {{0, 4.0}}, options);
    ASSERT_TRUE(before.next.has_value());
    EXPECT_EQ(before.next->measurement, 1U);
    const auto after = conclude(suspicion, {{0, 4.0}, {1, 2.0}}, options);
    EXPECT_TRUE(after.ended());
    EXPECT_EQ(std::set(after.alike.begin(), after.alike.end()), (std::set<std::size_t>{1, 2}));
    const auto alone = conclude(suspicion, {{0, 4.0}, {1, 6.0}}, {});
    EXPECT_TRUE(alone.ended());
    EXPECT_EQ(alone.alike, std::vector<std::size_t>{3});
    EXPECT_EQ(alone.suspects.front().suspect, 3U);
}

TEST(GuidedSession, NoFaultStandsFirstUntilAnotherIsMuchLikelier) {
    const auto dictionary =
        hand_dictionary({{"", 0, {all_read(1)}}, {"a", 1, {all_read(1.5)}}}, meter_off_by(0.2));
    Suspicion suspicion(dictionary, 0.5);
    for (const double shown : {1.1, 1.2, 1.3, 1.4, 1.5, 1.7, 1.9}) {
        SessionOptions options;
        options.accusing_odds = 20;
        const auto conclusion = conclude(suspicion, {{0, shown}}, options);
        const auto& shares = suspicion.of_suspects();
        const std::size_t expected = shares[1] > 20 * shares[0] ? 1 : 0;
        EXPECT_EQ(conclusion.suspects.front().suspect, expected) << shown;
    }
    EXPECT_GT(suspicion.of_suspects()[1], 20 * suspicion.of_suspects()[0]);  // the last of them
}

}  // namespace
}  // namespace gapwright
