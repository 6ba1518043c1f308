// Bands against fresh good links, and judgements at the edges.
#include "bench/reasoning/reading_band.hpp"

#include <gtest/gtest.h>

#include "bench/bench_links.hpp"
#include "support/how_many.hpp"
#include "support/simulated_session.hpp"

namespace gapwright {
namespace {

using testing::with_meter_error;
using testing_support::bench_examples;
using testing_support::example_at_bench;

const std::size_t fresh = testing_support::how_many(300U, 2000U);

TEST(ReadingBand, HoldsNinetyNinePercentOfFreshGoodLinks) {
    std::size_t bands_seen = 0;
    std::size_t inside_all = 0;
    std::size_t all = 0;
    for (const char* name : bench_examples) {
        const auto& at = example_at_bench(name);
        const FaultDictionary& d = at.dictionary;
        const auto bands = reading_bands(d, 5);
        ASSERT_EQ(bands.size(), d.measurements.size());
        const auto readings = simulate_readings(
            at.prepared, {d.meter, d.measurements, d.nominals, bench_conditions(at.prepared, {})},
            {}, 424242, fresh);
        std::mt19937_64 random(99);
        for (std::size_t m = 0; m < bands.size(); ++m) {
            std::size_t inside = 0;
            std::size_t wrong = 0;
            for (std::size_t k = 0; k < fresh; ++k) {
                const double shown =
                    with_meter_error(d.meter, d.measurements[m].kind, readings->at(k, m), random);
                inside += judge(bands[m], shown) == Judgement::in_band ? 1 : 0;
                wrong += judge(bands[m], shown) == Judgement::wrong ? 1 : 0;
            }
            // The band's ends are quantiles of 2000 specimens, so that what it holds of the
            // population has itself a deviation of √(0.99 · 0.01 / 2000) = 0.22 %: over some three
            // hundred bands four of them, together with Wilson's interval. Where a good link reads
            // but a few whole digits, the band holds more.
            const double slack = 4 * std::sqrt(0.99 * 0.01 / 2000);
            const double digit = resolution(d.meter, d.measurements[m].kind, bands[m].highest);
            if (bands[m].highest - bands[m].lowest > 40 * digit) {
                EXPECT_LE(wilson_low95(inside, fresh), 0.99 + slack)
                    << name << ' ' << d.measurements[m].measure << ' ' << inside;
            }
            EXPECT_GE(1 - wilson_low95(fresh - inside, fresh), 0.99 - slack)
                << name << ' ' << d.measurements[m].measure << ' ' << d.measurements[m].state << ' '
                << inside;
            EXPECT_LE(static_cast<double>(wrong), 0.004 * static_cast<double>(fresh) + 3);
            ++bands_seen;
            inside_all += inside;
            all += fresh;
        }
    }
    EXPECT_GT(bands_seen, 60U);
    EXPECT_NEAR(static_cast<double>(inside_all) / static_cast<double>(all), 0.992, 0.004);
}

TEST(ReadingBand, EndsStandInOrderAboutTheNominal) {
    for (const char* name : bench_examples) {
        const auto& at = example_at_bench(name);
        const auto bands = reading_bands(at.dictionary, 5);
        const auto again = reading_bands(at.dictionary, 5);
        for (std::size_t m = 0; m < bands.size(); ++m) {
            const auto& b = bands[m];
            const std::string where =
                std::string(name) + ' ' + at.dictionary.measurements[m].measure;
            EXPECT_LE(b.least, b.lowest) << where;
            EXPECT_LE(b.lowest, b.highest) << where;
            EXPECT_LE(b.highest, b.most) << where;
            EXPECT_NE(judge(b, b.nominal), Judgement::wrong) << where;
            EXPECT_EQ(b.lowest, again[m].lowest) << where;
            EXPECT_EQ(b.highest, again[m].highest) << where;
        }
    }
}

TEST(ReadingBand, JudgesAtTheEdges) {
    const ReadingBand band{.nominal = 5, .lowest = 4.5, .highest = 5.5, .least = 4, .most = 6};
    EXPECT_EQ(judge(band, 5), Judgement::in_band);
    EXPECT_EQ(judge(band, 4.5), Judgement::in_band);
    EXPECT_EQ(judge(band, 5.5), Judgement::in_band);
    EXPECT_EQ(judge(band, 4.49), Judgement::suspicious);
    EXPECT_EQ(judge(band, 5.51), Judgement::suspicious);
    EXPECT_EQ(judge(band, 4), Judgement::suspicious);
    EXPECT_EQ(judge(band, 6), Judgement::suspicious);
    EXPECT_EQ(judge(band, 3.99), Judgement::wrong);
    EXPECT_EQ(judge(band, 6.01), Judgement::wrong);
    EXPECT_EQ(judge(band, -5), Judgement::wrong);
    EXPECT_EQ(judge(band, INFINITY), Judgement::wrong);
    const ReadingBand open{.nominal = INFINITY,
                           .lowest = INFINITY,
                           .highest = INFINITY,
                           .least = INFINITY,
                           .most = INFINITY};
    EXPECT_EQ(judge(open, INFINITY), Judgement::in_band);
    EXPECT_EQ(judge(open, 19e6), Judgement::wrong);
}

TEST(ReadingBand, WordsOfJudgements) {
    EXPECT_EQ(judgement_word(Judgement::in_band), "in band");
    EXPECT_EQ(judgement_word(Judgement::suspicious), "suspicious");
    EXPECT_EQ(judgement_word(Judgement::wrong), "wrong");
}

// A uniform supply and a uniform error of the meter: the sum's tails are triangles.
TEST(ReadingBand, SupplyReadsAsItsLimitsSay) {
    const auto& at = example_at_bench("chime-bus");
    const auto bands = reading_bands(at.dictionary, 5);
    const auto m = at.measurement("voltage at input.supply", "mark");
    // 5 V ± 5 %; the meter adds 0.5 % and 2 digits of 10 mV, and shows 10 mV.
    constexpr double digit = 0.01;
    EXPECT_NEAR(bands[m].nominal, 5, 1e-9);
    EXPECT_NEAR(bands[m].least, 4.75 - (0.005 * 4.75 + 2 * digit), 0.7 * digit);
    EXPECT_NEAR(bands[m].most, 5.25 + (0.005 * 5.25 + 2 * digit), 0.7 * digit);
    // A tail of x holds x²/(2·0.5 V·2·e) of all links: 0.005 where x = 21 mV, e being 44 or 46 mV.
    EXPECT_NEAR(bands[m].lowest, 4.75 - 0.0438 + 0.0209, 1.1 * digit);
    EXPECT_NEAR(bands[m].highest, 5.25 + 0.0463 - 0.0215, 1.1 * digit);
}

// What is nothing but the meter's last digits reads as whole digits.
TEST(ReadingBand, EndsAreWhatTheMeterCanShow) {
    const auto& at = example_at_bench("bell-hammer");
    const auto bands = reading_bands(at.dictionary, 5);
    const auto m = at.measurement("voltage across R1", "off");
    EXPECT_NEAR(bands[m].lowest, -0.2e-3, 1e-9);  // two digits of 0.1 mV either way
    EXPECT_NEAR(bands[m].highest, 0.2e-3, 1e-9);
    EXPECT_EQ(judge(bands[m], 0.2e-3), Judgement::in_band);
    EXPECT_EQ(judge(bands[m], -0.2e-3), Judgement::in_band);
    EXPECT_EQ(judge(bands[m], 0.4e-3), Judgement::wrong);
    for (std::size_t k = 0; k < bands.size(); ++k) {
        const MeasurementKind kind = at.dictionary.measurements[k].kind;
        for (const double end :
             {bands[k].lowest, bands[k].highest, bands[k].least, bands[k].most}) {
            EXPECT_EQ(shown(at.dictionary.meter, kind, end), end);
        }
    }
}

}  // namespace
}  // namespace gapwright
