// Surveys against counting over all specimens, a closed form, and exhaustive enumeration.
#include "population/survey.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "circuit/link_point.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

constexpr double infinity = std::numeric_limits<double>::infinity();

struct Subject {
    Link link;
    LinkCircuit circuit;
    ConditionRanges ranges;
};

Subject subject(const std::string& text) {
    auto link = link_from(text);
    EXPECT_TRUE(link);
    auto circuit = build_circuit(*link);
    EXPECT_TRUE(circuit);
    const auto ranges = condition_ranges(*link);
    return {std::move(*link), std::move(*circuit), ranges};
}

Subject plain_subject() {
    return subject(
        with(plain_link(), "[input]", "[surroundings]\ntemperature = \"0 .. 50 °C\"\n[input]"));
}

// Two resistors across a supply without resistance; the coupler beside them takes nothing from
// either.
std::string divider_link() {
    return R"(title = "Divider"
[input]
supply = "9 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "10 V"
paths = ["supply > R2 > tap", "tap > R3 > return", "supply > R4 > signal", "signal > U1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "1 kΩ ± 10 %" }
R3 = { kind = "resistor", value = "1.5 kΩ ± 0 %" }
R4 = { kind = "resistor", value = "10 kΩ" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
[[promise]]
state = "on"
voltage = "tap"
at_least = "5 V"
)";
}

Probe voltage_of(const Subject& s, const std::string& node) {
    return {
        .kind = Probe::Kind::voltage,
        .side = Side::output,
        .ports = {
            {.plus = *s.link.output.find_node(node), .minus = Node::side_return, .current = {}}}};
}

// The plain link's signal and the emitter's current, on and off.
std::vector<Measure> plain_measures(const Subject& s) {
    const Probe signal = voltage_of(s, "signal");
    const Probe current = s.circuit.of(*s.link.find_part("U1"), Side::input)->current();
    return {{StateIndex{0}, signal},
            {StateIndex{1}, signal},
            {StateIndex{0}, current},
            {StateIndex{1}, current}};
}

Engine plain_engine(const Subject& s) {
    return {s.circuit.circuit, plain_measures(s), nominal_specimen(s.circuit, s.ranges)};
}

SpecimenSource drawn(const Subject& s, std::size_t count) {
    return population_source(s.circuit, s.ranges, 42, count);
}

// Every tenth specimen, from number 3 on, has a figure that is no number.
SpecimenSource partly_spoilt(const Subject& s, std::size_t count) {
    SpecimenSource source = drawn(s, count);
    source.write = [write = source.write, slots = s.circuit.parameters.size(),
                    first = source.base.values](std::size_t k, SpecimenPlace& place) {
        // The same figures for every specimen: what `write` leaves alone is set here.
        for (std::size_t p = 0; p < slots; ++p) place.set(static_cast<Slot>(p), first[p]);
        write(k, place);
        if (k % 10 == 3) place.set(Slot{0}, std::nan(""));
    };
    return source;
}

bool keeps(const Watch& watch, double value) {
    return (!watch.at_least || value >= *watch.at_least) &&
           (!watch.at_most || value <= *watch.at_most);
}

// Every part of a survey worked out anew from all values.
void expect_counts_of(const Survey& survey, const Measurements& all,
                      const std::vector<Watch>& watches) {
    const std::size_t specimens = all.values.size() / all.measures;
    ASSERT_EQ(survey.specimens, specimens);
    ASSERT_EQ(survey.extents.size(), all.measures);
    ASSERT_EQ(survey.watched.size(), watches.size());
    EXPECT_EQ(survey.outcome.solved, all.outcome.solved);
    EXPECT_EQ(survey.outcome.unsettled, all.outcome.unsettled);
    EXPECT_EQ(survey.outcome.by_single_points, all.outcome.by_single_points);
    EXPECT_EQ(survey.outcome.first_unsettled_number, all.outcome.first_unsettled_number);
    EXPECT_EQ(survey.outcome.stopped, all.outcome.stopped);
    for (std::size_t m = 0; m < all.measures; ++m) {
        Extent expected{infinity, -infinity, 0, 0};
        for (std::size_t k = 0; k < specimens; ++k) {
            const double value = all.at(k, m);
            if (value < expected.lowest) {
                expected.lowest = value;
                expected.lowest_specimen = k;
            }
            if (value > expected.highest) {
                expected.highest = value;
                expected.highest_specimen = k;
            }
        }
        EXPECT_EQ(survey.extents[m].lowest, expected.lowest) << m;
        EXPECT_EQ(survey.extents[m].highest, expected.highest) << m;
        EXPECT_EQ(survey.extents[m].lowest_specimen, expected.lowest_specimen) << m;
        EXPECT_EQ(survey.extents[m].highest_specimen, expected.highest_specimen) << m;
    }
    for (std::size_t w = 0; w < watches.size(); ++w) {
        const Watched& watched = survey.watched[w];
        std::size_t kept = 0;
        std::size_t settled = 0;
        Histogram histogram = watched.histogram;
        std::ranges::fill(histogram.counts, 0U);
        for (std::size_t k = 0; k < specimens; ++k) {
            const double value = all.at(k, watches[w].measure);
            if (std::isnan(value)) continue;
            ++settled;
            kept += keeps(watches[w], value) ? 1 : 0;
            histogram.add(value);
        }
        EXPECT_EQ(watched.kept, kept) << w;
        EXPECT_EQ(watched.histogram.counts, histogram.counts) << w;
        if (!watched.histogram.counts.empty()) {
            std::uint64_t sum = 0;
            for (const auto count : watched.histogram.counts) sum += count;
            EXPECT_EQ(sum, settled) << w;
            EXPECT_LT(watched.histogram.low, watched.histogram.high) << w;
        }
        ASSERT_EQ(watched.first.size(), std::min<std::size_t>(100, specimens)) << w;
        for (std::size_t k = 0; k < watched.first.size(); ++k) {
            const double value = all.at(k, watches[w].measure);
            if (std::isnan(value)) {
                EXPECT_TRUE(std::isnan(watched.first[k])) << w << ", " << k;
            } else {
                EXPECT_EQ(watched.first[k], value) << w << ", " << k;
            }
        }
    }
}

// Watches that some specimens keep and some do not.
std::vector<Watch> watches_about(const Measurements& all) {
    const double some = all.at(1, 0);
    const double other = all.at(2, 0);
    const double current = all.at(4, 2);
    return {{.measure = 0, .at_least = {}, .at_most = some},  // the bound itself is kept
            {.measure = 0, .at_least = some, .at_most = {}},
            {.measure = 0, .at_least = std::min(some, other), .at_most = std::max(some, other)},
            {.measure = 1, .at_least = {}, .at_most = {}},
            {.measure = 1, .at_least = 100.0, .at_most = {}},
            {.measure = 2, .at_least = current, .at_most = {}}};
}

void expect_same(const Survey& a, const Survey& b) {
    EXPECT_EQ(a.specimens, b.specimens);
    ASSERT_EQ(a.extents.size(), b.extents.size());
    for (std::size_t m = 0; m < a.extents.size(); ++m) {
        EXPECT_EQ(a.extents[m].lowest, b.extents[m].lowest);
        EXPECT_EQ(a.extents[m].highest, b.extents[m].highest);
        EXPECT_EQ(a.extents[m].lowest_specimen, b.extents[m].lowest_specimen);
        EXPECT_EQ(a.extents[m].highest_specimen, b.extents[m].highest_specimen);
    }
    ASSERT_EQ(a.watched.size(), b.watched.size());
    for (std::size_t w = 0; w < a.watched.size(); ++w) {
        EXPECT_EQ(a.watched[w].kept, b.watched[w].kept);
        EXPECT_EQ(a.watched[w].histogram.low, b.watched[w].histogram.low);
        EXPECT_EQ(a.watched[w].histogram.high, b.watched[w].histogram.high);
        EXPECT_EQ(a.watched[w].histogram.counts, b.watched[w].histogram.counts);
        EXPECT_EQ(a.watched[w].first, b.watched[w].first);
    }
    EXPECT_EQ(a.outcome.solved, b.outcome.solved);
    EXPECT_EQ(a.outcome.by_single_points, b.outcome.by_single_points);
    EXPECT_EQ(a.outcome.unsettled, b.outcome.unsettled);
}

TEST(Survey, CountsWhatCountingAllSpecimensGives) {
    const Subject s = plain_subject();
    const Engine engine = plain_engine(s);
    for (const std::size_t count : {5U, 99U, 100U, 101U, 1000U, 20011U}) {
        SCOPED_TRACE(count);
        const auto all = measure_all(engine, drawn(s, count));
        const auto watches = watches_about(all);
        const auto result = survey(engine, drawn(s, count), watches);
        expect_counts_of(result, all, watches);
        EXPECT_FALSE(result.watched[0].histogram.counts.empty());
        EXPECT_EQ(result.watched[3].kept, count);  // without bounds
        EXPECT_EQ(result.watched[4].kept, 0U);
        // The one specimen that lies on the bound is counted on both sides of it.
        EXPECT_GE(result.watched[0].kept + result.watched[1].kept, count + 1);
    }
}

TEST(Survey, SameOnAnyNumberOfThreads) {
    const Subject s = plain_subject();
    const Engine engine = plain_engine(s);
    const auto watches = watches_about(measure_all(engine, drawn(s, 10)));
    const auto one = survey(engine, drawn(s, 12345), watches, {.threads = 1});
    for (const unsigned threads : {2U, 5U}) {
        SCOPED_TRACE(threads);
        expect_same(survey(engine, drawn(s, 12345), watches, {.threads = threads}), one);
    }
}

TEST(Survey, LeavesOutSpecimensThatDoNotSettle) {
    const Subject s = plain_subject();
    const Engine engine = plain_engine(s);
    const auto source = partly_spoilt(s, 2000);
    const auto all = measure_all(engine, source);
    ASSERT_EQ(all.outcome.unsettled, 200U);
    ASSERT_EQ(all.outcome.first_unsettled_number, 3U);
    const auto watches = watches_about(all);
    const auto result = survey(engine, source, watches);
    expect_counts_of(result, all, watches);
    EXPECT_EQ(result.outcome.unsettled, 200U);
    EXPECT_EQ(result.watched[3].kept, 1800U);
    EXPECT_TRUE(std::isnan(result.watched[0].first[3]));
    EXPECT_FALSE(std::isnan(result.watched[0].first[4]));
    for (const auto& extent : result.extents) {
        EXPECT_NE(extent.lowest_specimen % 10, 3U);
        EXPECT_NE(extent.highest_specimen % 10, 3U);
    }
}

TEST(Survey, OfSpecimensNoneOfWhichSettles) {
    const Subject s = plain_subject();
    const Engine engine = plain_engine(s);
    SpecimenSource source = drawn(s, 20);
    source.write = [](std::size_t, SpecimenPlace& place) { place.set(Slot{0}, std::nan("")); };
    const auto result = survey(engine, source, {{.measure = 0, .at_least = {}, .at_most = {}}});
    EXPECT_EQ(result.outcome.unsettled, 20U);
    EXPECT_EQ(result.watched[0].kept, 0U);
    EXPECT_TRUE(result.watched[0].histogram.counts.empty());
    for (const auto& extent : result.extents) {
        EXPECT_EQ(extent.lowest, infinity);
        EXPECT_EQ(extent.highest, -infinity);
    }
}

TEST(Survey, OfNoSpecimens) {
    const Subject s = plain_subject();
    const auto result =
        survey(plain_engine(s), drawn(s, 0), {{.measure = 1, .at_least = {}, .at_most = {}}});
    EXPECT_EQ(result.specimens, 0U);
    EXPECT_EQ(result.watched[0].kept, 0U);
    EXPECT_TRUE(result.watched[0].first.empty());
    EXPECT_TRUE(result.watched[0].histogram.counts.empty());
    EXPECT_EQ(result.extents[0].lowest, infinity);
    EXPECT_EQ(result.extents[0].highest, -infinity);
}

TEST(Survey, OfEqualSpecimensNamesTheFirstAndDrawsNoHistogram) {
    const Subject s = plain_subject();
    const Engine engine = plain_engine(s);
    const SpecimenSource source{.base = nominal_specimen(s.circuit, s.ranges),
                                .count = 3000,
                                .write = [](std::size_t, SpecimenPlace&) {}};
    const auto result =
        survey(engine, source, {{.measure = 0, .at_least = {}, .at_most = {}}}, {.threads = 5});
    EXPECT_EQ(result.watched[0].kept, 3000U);
    EXPECT_TRUE(result.watched[0].histogram.counts.empty());
    for (const auto& extent : result.extents) {
        EXPECT_EQ(extent.lowest, extent.highest);
        EXPECT_EQ(extent.lowest_specimen, 0U);
        EXPECT_EQ(extent.highest_specimen, 0U);
    }
}

TEST(Histograms, CountEachValueInItsRange) {
    Histogram histogram{.low = 0, .high = 4, .counts = std::vector<std::uint64_t>(4)};
    for (const double value : {0.0, 0.5, 1.0, 1.99, 3.999, 4.0, -7.0, 1e300, infinity, -infinity}) {
        histogram.add(value);
    }
    EXPECT_EQ(histogram.counts, (std::vector<std::uint64_t>{4, 2, 0, 4}));
    Histogram none;
    none.add(1);
    EXPECT_TRUE(none.counts.empty());
}

// Largest distance between the steps of the values and the distribution (Kolmogorov 1933). Sorts.
template <class Distribution>
double kolmogorov_statistic(std::vector<double>& values, Distribution distribution) {
    std::ranges::sort(values);
    const auto n = static_cast<double>(values.size());
    double largest = 0;
    for (std::size_t k = 0; k < values.size(); ++k) {
        const double share = distribution(values[k]);
        largest = std::max(
            {largest, share - static_cast<double>(k) / n, static_cast<double>(k + 1) / n - share});
    }
    return largest;
}

// A resistor R uniform from 0.9 to 1.1 kΩ above an exact one of 1.5 kΩ, across 10 V. Their tap lies
// at v = 10 V·1.5/(R + 1.5), so that P(tap ≤ v) = P(R ≥ 15/v − 1.5).
TEST(Survey, DividersVoltageIsDistributedAsItsClosedForm) {
    constexpr std::size_t draws = 1000000;
    const Subject s = subject(divider_link());
    const Engine engine(s.circuit.circuit, {{StateIndex{0}, voltage_of(s, "tap")}},
                        nominal_specimen(s.circuit, s.ranges));
    auto all = measure_all(engine, drawn(s, draws));
    ASSERT_EQ(all.outcome.unsettled, 0U);
    const auto distribution = [](double v) {
        return std::clamp((1100.0 - (15000.0 / v - 1500.0)) / 200.0, 0.0, 1.0);
    };
    // The value that a true distribution exceeds once in a thousand, for large n: 1.95/√n
    // (Kolmogorov 1933; table of Smirnov 1948).
    const double critical = 1.95 / std::sqrt(static_cast<double>(draws));
    EXPECT_LT(kolmogorov_statistic(all.values, distribution), critical);

    // The survey's own account: shares within a bound, and the extremes just inside the limits.
    const double bound = 6.0;
    const auto result =
        survey(engine, drawn(s, draws), {{.measure = 0, .at_least = {}, .at_most = bound}});
    EXPECT_NEAR(static_cast<double>(result.watched[0].kept) / draws, distribution(bound), critical);
    EXPECT_NEAR(result.extents[0].lowest, 15.0 / 2.6, 1e-4);
    EXPECT_NEAR(result.extents[0].highest, 15.0 / 2.4, 1e-4);
    EXPECT_GE(result.extents[0].lowest, 15.0 / 2.6 - 1e-9);
    EXPECT_LE(result.extents[0].highest, 15.0 / 2.4 + 1e-9);
}

// The test itself sees a population that is a little off: limits wrong by a hundredth.
TEST(Survey, KolmogorovsStatisticSeesASmallDeviation) {
    std::vector<double> values;
    for (int k = 0; k < 1000000; ++k) values.push_back((k + 0.5) / 1e6);
    const auto right = [](double v) { return v; };
    const auto wrong = [](double v) { return std::min(1.0, v / 0.99); };
    EXPECT_LT(kolmogorov_statistic(values, right), 1e-6);
    EXPECT_GT(kolmogorov_statistic(values, wrong), 1.95 / 1e3);
}

// Specimens at all combinations of limits: bit b of a specimen's number chooses the end of the b-th
// figure that varies.
struct Corners {
    std::vector<std::size_t> varying;
    SpecimenSource source;
};
Corners corners_of(const Subject& s) {
    Corners corners;
    for (std::size_t p = 0; p < s.circuit.parameters.size(); ++p) {
        if (s.circuit.parameters[p].spread.varies()) corners.varying.push_back(p);
    }
    corners.source = {.base = nominal_specimen(s.circuit, s.ranges),
                      .count = std::size_t{1} << corners.varying.size(),
                      .write = [&parameters = s.circuit.parameters, varying = corners.varying](
                                   std::size_t k, SpecimenPlace& place) {
                          for (std::size_t b = 0; b < varying.size(); ++b) {
                              const Spread& spread = parameters[varying[b]].spread;
                              place.set(static_cast<Slot>(varying[b]),
                                        ((k >> b) & 1U) != 0 ? spread.highest : spread.lowest);
                          }
                      }};
    return corners;
}

TEST(Survey, ExtremesOfAllCornersAreThoseOfEnumeration) {
    const Subject s = plain_subject();
    const auto measures = plain_measures(s);
    const Corners corners = corners_of(s);
    ASSERT_GE(corners.varying.size(), 3U);
    ASSERT_LE(corners.varying.size(), 15U);
    const auto result = survey(plain_engine(s), corners.source, {});
    ASSERT_EQ(result.outcome.unsettled, 0U);

    std::vector<Extent> expected(measures.size(), Extent{infinity, -infinity, 0, 0});
    for (std::size_t k = 0; k < corners.source.count; ++k) {
        Specimen specimen = nominal_specimen(s.circuit, s.ranges);
        for (std::size_t b = 0; b < corners.varying.size(); ++b) {
            const Spread& spread = s.circuit.parameters[corners.varying[b]].spread;
            specimen.values[corners.varying[b]] =
                ((k >> b) & 1U) != 0 ? spread.highest : spread.lowest;
        }
        const auto points = solve_link(s.circuit.circuit, specimen.values, specimen.conditions);
        ASSERT_TRUE(points) << k;
        for (std::size_t m = 0; m < measures.size(); ++m) {
            const double value = measure(measures[m].probe, (*points)[to_index(measures[m].state)]);
            expected[m].lowest = std::min(expected[m].lowest, value);
            expected[m].highest = std::max(expected[m].highest, value);
        }
    }
    for (std::size_t m = 0; m < measures.size(); ++m) {
        const Extent& extent = result.extents[m];
        EXPECT_NEAR(extent.lowest, expected[m].lowest, 1e-9) << m;
        EXPECT_NEAR(extent.highest, expected[m].highest, 1e-9) << m;
    }
}

}  // namespace
}  // namespace gapwright
