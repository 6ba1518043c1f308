// What a whole sheet of readings comes to.
#include "bench/reasoning/bench_verdict.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include "bench/bench_links.hpp"
#include "bench/faults/link_edits.hpp"
#include "bench/hand_dictionary.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "support/simulated_session.hpp"

namespace gapwright {
namespace {

using testing::with_meter_error;
using testing_support::all_read;
using testing_support::example_at_bench;
using testing_support::hand_dictionary;
using testing_support::LinkAtBench;
using testing_support::meter_off_by;

// Readings of the whole sheet of a link that was built otherwise than it should be.
class Sheet {
  public:
    explicit Sheet(const std::string& example) : at_(example_at_bench(example)) {
        for (const SheetLine& line : test_sheet(at_.link, at_.dictionary, {}).lines) {
            lines_.push_back(line.measurement);
        }
    }

    // All lines, of one specimen of the link as it was built.
    std::vector<TakenReading> of(const std::function<void(Link&)>& edit, std::uint64_t seed) const {
        std::vector<TakenReading> readings;
        const auto values = specimen(edit, seed);
        std::mt19937_64 random(seed);
        for (const std::size_t m : lines_) readings.push_back(shown_of(values, m, random));
        return readings;
    }
    // A further reading of the same specimen.
    TakenReading another(const std::function<void(Link&)>& edit, std::uint64_t seed,
                         std::size_t measurement) const {
        std::mt19937_64 random(seed + measurement);
        return shown_of(specimen(edit, seed), measurement, random);
    }
    BenchVerdict verdict(const std::vector<TakenReading>& readings) const {
        return bench_verdict(at_.prepared, at_.dictionary, reading_bands(at_.dictionary, 1),
                             readings, {});
    }
    const LinkAtBench& at() const { return at_; }
    Fault fault(std::string_view suspect) const {
        return *std::ranges::find(at_.dictionary.faults, suspect, &Fault::suspect);
    }

  private:
    SimulatedReadings specimen(const std::function<void(Link&)>& edit, std::uint64_t seed) const {
        Link built = at_.prepared;
        if (edit) edit(built);
        const FaultDictionary& d = at_.dictionary;
        return *simulate_readings(
            built, {d.meter, d.measurements, d.nominals, bench_conditions(built, {})}, {}, seed, 1);
    }
    TakenReading shown_of(const SimulatedReadings& values, std::size_t m,
                          std::mt19937_64& random) const {
        const FaultDictionary& d = at_.dictionary;
        return {m, with_meter_error(d.meter, d.measurements[m].kind, values.at(0, m), random)};
    }

    const LinkAtBench& at_;
    std::vector<std::size_t> lines_;
};

std::function<void(Link&)> value_of(const std::string& part, double ohms) {
    return [=](Link& link) {
        edits::set_figure(link.parts[*link.find_part(part)].description, Key::value, exactly(ohms));
    };
}

// The figure in "R3 reads as about 98 kΩ instead of 10 kΩ", kΩ; NaN where the text is another.
double told_kilohms(const std::string& text) {
    const std::string before = "R3 reads as about ";
    const std::string after = " kΩ instead of 10 kΩ";
    if (!text.starts_with(before) || !text.ends_with(after)) return NAN;
    return std::stod(text.substr(before.size(), text.size() - before.size() - after.size()));
}

TEST(BenchVerdict, NamesTheValueOfAMisreadResistor) {
    const Sheet sheet("bell-hammer");
    for (const std::uint64_t seed : {3U}) {
        const auto verdict = sheet.verdict(sheet.of(value_of("R3", 100e3), seed));
        ASSERT_FALSE(verdict.suspects.empty());
        const SuspectWords& first = verdict.suspects.front();
        EXPECT_NEAR(told_kilohms(first.text), 100, 2) << first.text;
        EXPECT_GE(first.share, 0.9);
        EXPECT_EQ(first.explained, first.readings);
        EXPECT_EQ(first.readings, verdict.readings.size());
        EXPECT_EQ(verdict.verdict, LinkVerdict::faulty);
        EXPECT_FALSE(verdict.two_faults);
        EXPECT_TRUE(std::ranges::any_of(verdict.readings, [](const JudgedReading& r) {
            return r.judgement == Judgement::wrong;
        }));
    }
}

// R3 is read from the base, with nothing beside it: what is told is what the meter showed.
TEST(BenchVerdict, ToldValuesAreThoseThatWereRead) {
    const Sheet sheet("bell-hammer");
    for (const double ohms : {3.3e3, 4.7e3, 15e3, 22e3, 39e3, 68e3}) {
        const auto verdict = sheet.verdict(sheet.of(value_of("R3", ohms), 2));
        ASSERT_FALSE(verdict.suspects.empty());
        const std::string& text = verdict.suspects.front().text;
        EXPECT_NEAR(told_kilohms(text), ohms / 1e3, 0.03 * ohms / 1e3) << text;
    }
}

// A sheet leaves some of them undecided; what is asked for besides clears most. None is accused.
TEST(BenchVerdict, GoodSpecimensAreGood) {
    const auto seeds = testing_support::how_many<std::uint64_t>(2, 8);
    std::size_t cleared = 0;
    for (const char* example : {"bell-hammer", "lamp-watch", "winder-motor"}) {
        const Sheet sheet(example);
        for (std::uint64_t seed = 11; seed < 11 + seeds; ++seed) {
            auto readings = sheet.of({}, seed);
            auto verdict = sheet.verdict(readings);
            while (verdict.next && readings.size() < 30) {
                readings.push_back(sheet.another({}, seed, verdict.next->measurement));
                verdict = sheet.verdict(readings);
            }
            cleared += verdict.verdict == LinkVerdict::good ? 1 : 0;
            EXPECT_TRUE(verdict.verdict == LinkVerdict::good ||
                        verdict.verdict == LinkVerdict::undecided)
                << example << seed;
            ASSERT_FALSE(verdict.suspects.empty());
            EXPECT_EQ(verdict.suspects.front().text, "no fault");
            EXPECT_FALSE(verdict.next.has_value());
            EXPECT_FALSE(verdict.two_faults);
        }
    }
    EXPECT_GE(cleared, 2 * seeds);  // of three links
}

// More than the battery can give: somebody took another one, or misread.
TEST(BenchVerdict, MoreThanTheSupplyIsASuspectNotAnError) {
    const LinkAtBench& at = example_at_bench("lamp-watch");
    const auto bands = reading_bands(at.dictionary, 1);
    const auto m = at.measurement("voltage at input.supply", "dead");
    const auto verdict = bench_verdict(at.prepared, at.dictionary, bands, {{m, 11.0}}, {});
    ASSERT_EQ(verdict.readings.size(), 1U);
    EXPECT_EQ(verdict.readings.front().judgement, Judgement::wrong);
    ASSERT_FALSE(verdict.suspects.empty());
    EXPECT_EQ(verdict.suspects.front().text, "the input supply gives about 11 V instead of 9 V");
    EXPECT_NE(verdict.verdict, LinkVerdict::good);
}

TEST(BenchVerdict, TwoFaultsAtOnceAreTriedInPairs) {
    const Sheet sheet("bell-hammer");
    const Fault pair = both(sheet.fault("R2 is open"), sheet.fault("D1 is the wrong way round"));
    const Fault another = both(sheet.fault("R1 is bridged"), sheet.fault("R3 is open"));
    for (const auto& [fault, turned] :
         {std::pair{pair,
                    both(sheet.fault("D1 is the wrong way round"), sheet.fault("R2 is open"))},
          std::pair{another, both(sheet.fault("R3 is open"), sheet.fault("R1 is bridged"))}}) {
        auto readings = sheet.of(fault.edit, 5);
        auto verdict = sheet.verdict(readings);
        // What one fault leaves over is read again, and read so.
        while (verdict.again && readings.size() < 20) {
            readings.push_back(verdict.readings[verdict.again->reading].reading);
            verdict = sheet.verdict(readings);
        }
        EXPECT_TRUE(verdict.two_faults) << fault.suspect;
        bool named = false;
        for (std::size_t k = 0; k < std::min<std::size_t>(3, verdict.suspects.size()); ++k) {
            const std::string& text = verdict.suspects[k].text;
            named = named || text == fault.suspect || text == turned.suspect;
        }
        EXPECT_TRUE(named) << fault.suspect << ", not "
                           << (verdict.suspects.empty() ? "" : verdict.suspects.front().text);
    }
}

// A decimal sign slipped: asked for again before it decides, with what would fit; once it was read
// again, it counts. So it is of seven in ten good links at the least; of the others R1 itself is
// suspected of what was read.
TEST(BenchVerdict, AReadingThatAloneDoesNotFitIsAskedForAgain) {
    const Sheet sheet("bell-hammer");
    const auto where = sheet.at().measurement("resistance across R1", unpowered);
    int asked = 0;
    for (std::uint64_t seed = 11; seed < 21; ++seed) {
        auto readings = sheet.of({}, seed);
        const auto slipped = std::ranges::find(readings, where, &TakenReading::measurement);
        ASSERT_NE(slipped, readings.end());
        const double right = slipped->value;
        slipped->value = right / 10;
        auto verdict = sheet.verdict(readings);
        if (!verdict.again) continue;
        ++asked;
        EXPECT_EQ(verdict.readings[verdict.again->reading].reading.measurement, where);
        ASSERT_TRUE(verdict.again->slip.has_value());
        EXPECT_NEAR(*verdict.again->slip, right, 1e-9 * right);
        EXPECT_EQ(verdict.verdict, LinkVerdict::undecided);
        ASSERT_TRUE(verdict.next.has_value());
        EXPECT_EQ(verdict.next->measurement, where);
        readings.push_back({.measurement = where, .value = right});
        verdict = sheet.verdict(readings);
        EXPECT_FALSE(verdict.again.has_value());
        EXPECT_EQ(verdict.suspects.front().text, "no fault");
    }
    EXPECT_GE(asked, 7);
}

// The forward voltage of an LED that stands the wrong way round, on a meter whose junction test
// goes on above 2 V: what was read is kept, and is not over range.
TEST(BenchVerdict, AReversedLedMayReadAboveTwoVolts) {
    const LinkAtBench& at = example_at_bench("lamp-watch");
    const auto bands = reading_bands(at.dictionary, 1);
    const std::vector<TakenReading> readings = {
        {at.measurement("isolation", unpowered), INFINITY},
        {at.measurement("isolation reversed", unpowered), INFINITY},
        {at.measurement("diode test D1", unpowered), INFINITY},
        {at.measurement("diode test reversed D1", unpowered), 2.03}};
    const auto verdict = bench_verdict(at.link, at.dictionary, bands, readings, {});
    EXPECT_EQ(verdict.readings.back().reading.value, 2.03);
    EXPECT_EQ(verdict.readings.back().judgement, Judgement::wrong);
    ASSERT_FALSE(verdict.suspects.empty());
    EXPECT_EQ(verdict.suspects.front().text, "D1 is the wrong way round");
    for (const SuspectWords& suspect : verdict.suspects) {
        if (suspect.text == "D1 is open") {
            EXPECT_LT(suspect.share, 0.01);
        }
    }
}

TEST(BenchVerdict, ReadingsThatNothingExplainsAreUnexplained) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    const auto bands = reading_bands(at.dictionary, 1);
    // A supply that is right in one state and half in the other, and a coil above it.
    const auto verdict = bench_verdict(at.prepared, at.dictionary, bands,
                                       {{at.measurement("voltage at output.supply", "on"), 24.0},
                                        {at.measurement("voltage at output.supply", "off"), 12.0},
                                        {at.measurement("voltage at coil", "off"), 31.0},
                                        {at.measurement("voltage at coil", "on"), 7.0}},
                                       {});
    EXPECT_EQ(verdict.verdict, LinkVerdict::unexplained);
    EXPECT_GT(verdict.unexplained, 0.5);
    EXPECT_TRUE(verdict.two_faults);
}

TEST(BenchVerdict, NothingReadIsUndecidedAndAsks) {
    const LinkAtBench& at = example_at_bench("chime-bus");
    const auto verdict =
        bench_verdict(at.prepared, at.dictionary, reading_bands(at.dictionary, 1), {}, {});
    EXPECT_EQ(verdict.verdict, LinkVerdict::undecided);
    EXPECT_TRUE(verdict.next.has_value());
    EXPECT_TRUE(verdict.readings.empty());
    EXPECT_LE(verdict.suspects.size(), 10U);
}

TEST(BenchVerdict, MarksSuspectsThatAreAlike) {
    const auto dictionary = hand_dictionary({{"", 0, {all_read(1), all_read(1)}},
                                             {"R1 is open", 1, {all_read(4), all_read(2)}},
                                             {"R2 is open", 1, {all_read(4), all_read(2)}},
                                             {"R3 is open", 1, {all_read(4), all_read(6)}}},
                                            meter_off_by(0.005));
    const std::vector<ReadingBand> bands(
        dictionary.measurements.size(),
        {.nominal = 1, .lowest = 0.9, .highest = 1.1, .least = 0.8, .most = 1.2});
    const auto link = *testing_support::link_from(testing_support::plain_link());
    const auto verdict = bench_verdict(link, dictionary, bands, {{0, 4.0}, {1, 2.0}}, {});
    EXPECT_EQ(verdict.verdict, LinkVerdict::faulty);
    ASSERT_GE(verdict.suspects.size(), 2U);
    for (std::size_t k = 0; k < verdict.suspects.size(); ++k) {
        const SuspectWords& s = verdict.suspects[k];
        const bool one_of_both = s.text == "R1 is open" || s.text == "R2 is open";
        EXPECT_EQ(one_of_both, k < 2) << s.text;
        EXPECT_EQ(s.alike, k < 2) << s.text;
        EXPECT_EQ(s.explained, k < 2 ? 2U : 1U) << s.text;
    }
    EXPECT_EQ(verdict.readings.front().judgement, Judgement::wrong);
}

TEST(BenchVerdict, Words) {
    EXPECT_EQ(link_verdict_word(LinkVerdict::good), "good");
    EXPECT_EQ(link_verdict_word(LinkVerdict::undecided), "undecided");
    EXPECT_EQ(link_verdict_word(LinkVerdict::faulty), "faulty");
    EXPECT_EQ(link_verdict_word(LinkVerdict::joined), "joined");
    EXPECT_EQ(link_verdict_word(LinkVerdict::unexplained), "unexplained");
}

}  // namespace
}  // namespace gapwright
