// The test sheet of every example against readings simulated anew.
#include "bench/sessions/test_sheet.hpp"

#include <gtest/gtest.h>

#include <set>

#include "bench/bench_links.hpp"
#include "bench/meter/reading_scale.hpp"

namespace gapwright {
namespace {

using testing_support::bench_examples;
using testing_support::example_at_bench;
using testing_support::LinkAtBench;

// Specimens of a fault that the dictionary has not seen, solved ones alone, by measurement and
// specimen, on the scale of readings.
std::vector<std::vector<double>> fresh_readings(const LinkAtBench& at, const Fault& fault,
                                                std::size_t count) {
    Link faulty = at.prepared;
    if (fault.edit) fault.edit(faulty);
    const FaultDictionary& d = at.dictionary;
    const auto raw = *simulate_readings(
        faulty, {d.meter, d.measurements, d.nominals, bench_conditions(faulty, {})}, fault.bridge,
        8642, count);
    std::vector<std::vector<double>> readings(d.measurements.size());
    for (std::size_t k = 0; k < count; ++k) {
        for (std::size_t m = 0; m < readings.size(); ++m) {
            const double value = raw.at(k, m);
            if (std::isnan(value)) continue;
            readings[m].push_back(scaled(d.meter, d.measurements[m].kind, value));
        }
    }
    return readings;
}

// The smallest number that so large a share of the values does not exceed.
double quantile(std::vector<double> values, double share) {
    std::ranges::sort(values);
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

TEST(TestSheet, StandsInOrderAndWithinItsLength) {
    for (const char* name : bench_examples) {
        const LinkAtBench& at = example_at_bench(name);
        for (const std::size_t most : {5U, 12U}) {
            const auto sheet = test_sheet(at.link, at.dictionary, {.most_lines = most});
            ASSERT_FALSE(sheet.lines.empty());
            EXPECT_LE(sheet.lines.size(), most) << name;
            EXPECT_GE(sheet.lines.size(), std::min<std::size_t>(most, 6)) << name;
            std::set<std::size_t> seen;
            std::size_t section = 0;
            for (const SheetLine& line : sheet.lines) {
                const Measurement& m = at.dictionary.measurements[line.measurement];
                EXPECT_TRUE(seen.insert(line.measurement).second);
                const auto state = at.link.find_state(m.state);
                const std::size_t own = crosses_gap(m) ? 0 : state ? 2 + *state : 1;
                EXPECT_GE(own, section) << name << ' ' << m.measure;
                section = own;
                EXPECT_LE(line.hints.size(), 3U);
                EXPECT_LE(line.band.lowest, line.band.highest);
            }
            const Measurement& first = at.dictionary.measurements[sheet.lines.front().measurement];
            EXPECT_EQ(first.kind, MeasurementKind::isolation);
            for (std::size_t m = 0; m < at.dictionary.measurements.size(); ++m) {
                const Measurement& of = at.dictionary.measurements[m];
                if (!crosses_gap(of) || !of.all_input || !of.all_output) continue;
                EXPECT_TRUE(seen.contains(m)) << name;
            }
            EXPECT_TRUE(seen.size() <= 2 || section >= 2) << name << ": some line is powered";
        }
    }
}

TEST(TestSheet, HintsNameSuspectsThatReadSo) {
    std::size_t looked_at = 0;
    for (const char* name : bench_examples) {
        const LinkAtBench& at = example_at_bench(name);
        const FaultDictionary& d = at.dictionary;
        const auto sheet = test_sheet(at.link, d, {});
        for (const SheetLine& line : sheet.lines) {
            const MeasurementKind kind = d.measurements[line.measurement].kind;
            for (const SheetHint& hint : line.hints) {
                EXPECT_LE(hint.lowest, hint.highest);
                EXPECT_FALSE(hint.suspects.empty());
                const double low = scaled(d.meter, kind, hint.lowest);
                const double high = scaled(d.meter, kind, hint.highest);
                for (const std::size_t s : hint.suspects) {
                    ++looked_at;
                    // Half of the specimens of one of its faults lie to either side of there.
                    const bool reads_so = [&] {
                        for (std::size_t f = 0; f < d.faults.size(); ++f) {
                            if (d.suspect_of[f] != s) continue;
                            const auto by_one = d.readings[f].of(line.measurement);
                            const auto by_other = d.readings[f].by_other(line.measurement);
                            std::vector<double> both(by_one.begin(), by_one.end());
                            both.insert(both.end(), by_other.begin(), by_other.end());
                            const double middle = quantile(both, 0.5);
                            if (middle >= low - 0.05 && middle <= high + 0.05) return true;
                        }
                        return false;
                    }();
                    EXPECT_TRUE(reads_so) << name << ' ' << d.measurements[line.measurement].measure
                                          << ": " << d.suspects[s];
                }
                // Outside the band only.
                const bool outside =
                    hint.lowest > line.band.highest || hint.highest < line.band.lowest ||
                    hint.lowest < line.band.lowest || hint.highest > line.band.highest;
                EXPECT_TRUE(outside) << name;
            }
        }
    }
    EXPECT_GT(looked_at, 100U);
}

TEST(TestSheet, UnseenSuspectsReadAsGoodLinksDo) {
    std::size_t unseen = 0;
    std::size_t all = 0;
    for (const char* name : bench_examples) {
        const LinkAtBench& at = example_at_bench(name);
        const FaultDictionary& d = at.dictionary;
        const auto sheet = test_sheet(at.link, d, {});
        const auto good = fresh_readings(at, Fault{}, 400);
        all += d.suspects.size();
        unseen += sheet.unseen.size();
        for (const std::size_t s : sheet.unseen) {
            EXPECT_NE(s, 0U);
            for (std::size_t f = 0; f < d.faults.size(); ++f) {
                if (d.suspect_of[f] != s) continue;
                const auto fresh = fresh_readings(at, d.faults[f], 60);
                for (const SheetLine& line : sheet.lines) {
                    const MeasurementKind kind = d.measurements[line.measurement].kind;
                    const auto& own = good[line.measurement];
                    const auto [low, high] = std::ranges::minmax(own);
                    // Nine tenths of it do not lie clear of good links, its extremes added.
                    const double least = quantile(fresh[line.measurement], 0.05);
                    const double most = quantile(fresh[line.measurement], 0.95);
                    const auto error = [&](double y) {
                        return 3.5 * scaled_error(d.meter, kind, unscaled(kind, y)) + 1e-3;
                    };
                    EXPECT_GE(most, low - error(most)) << name << ' ' << d.suspects[s] << ' '
                                                       << d.measurements[line.measurement].measure;
                    EXPECT_LE(least, high + error(least))
                        << name << ' ' << d.suspects[s] << ' '
                        << d.measurements[line.measurement].measure;
                }
            }
        }
    }
    EXPECT_LT(unseen * 5, all);  // a sheet that shows less than four in five is of little use
}

TEST(TestSheet, ListsChecksForGapsMadeByHandAlone) {
    const auto checks = [](const char* name) {
        const LinkAtBench& at = example_at_bench(name);
        return test_sheet(at.link, at.dictionary, {}).checks;
    };
    const auto holds = [](const std::string& text, const char* part) {
        return text.find(part) != std::string::npos;
    };
    for (const char* name : {"bell-hammer", "chime-bus", "night-silence", "winder-motor"}) {
        EXPECT_TRUE(checks(name).empty()) << name;
    }
    const auto beat = checks("pendulum-beat");
    ASSERT_EQ(beat.size(), 1U);
    EXPECT_TRUE(holds(beat[0], "U1"));
    EXPECT_TRUE(holds(beat[0], "camera of a telephone"));
    EXPECT_TRUE(holds(beat[0], "infrared"));
    const auto lamp = checks("lamp-watch");
    ASSERT_EQ(lamp.size(), 1U);
    EXPECT_TRUE(holds(lamp[0], "U1"));
    EXPECT_TRUE(holds(lamp[0], "tens of kΩ"));
    EXPECT_TRUE(holds(lamp[0], "MΩ"));
    EXPECT_TRUE(holds(lamp[0], "tens of Ω"));
    EXPECT_FALSE(holds(lamp[0], "camera"));
}

TEST(TestSheet, LongerSheetShowsNoFewerSuspects) {
    for (const char* name : {"bell-hammer", "pendulum-beat"}) {
        const LinkAtBench& at = example_at_bench(name);
        std::size_t before = at.dictionary.suspects.size();
        for (const std::size_t most : {2U, 4U, 8U, 12U, 20U}) {
            const auto sheet = test_sheet(at.link, at.dictionary, {.most_lines = most});
            EXPECT_LE(sheet.unseen.size(), before) << name << ' ' << most;
            before = sheet.unseen.size();
        }
    }
}

}  // namespace
}  // namespace gapwright
