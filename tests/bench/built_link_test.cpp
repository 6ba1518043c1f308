// What is learnt of built links whose figures are known, and how long such links hold.
#include "bench/sessions/built_link.hpp"

#include <gtest/gtest.h>

#include <set>

#include "bench/bench_links.hpp"
#include "bench/faults/link_edits.hpp"
#include "card/key.hpp"
#include "support/how_many.hpp"
#include "support/simulated_session.hpp"

namespace gapwright {
namespace {

using testing::with_meter_error;
using testing_support::example_at_bench;
using testing_support::link_from;
using testing_support::LinkAtBench;
using testing_support::plain_link;
using testing_support::with;

const std::uint64_t specimens = testing_support::how_many(2U, 20U);
const std::size_t samples = testing_support::how_many(200U, 2000U);

constexpr std::uint64_t seed = 90125;

// Voltages at nodes of specimen number `index`, and resistances across its parts, as a meter with
// its error shows them.
std::vector<TakenReading> read_of(const LinkAtBench& at, std::size_t index,
                                  bool resistances = true) {
    const FaultDictionary& d = at.dictionary;
    const auto simulated = *simulate_readings(
        at.prepared,
        {d.meter, d.measurements, d.nominals, bench_conditions(at.prepared, d.options)}, {}, seed,
        index + 1);
    std::mt19937_64 random(1000 + index);
    std::vector<TakenReading> readings;
    for (std::size_t m = 0; m < d.measurements.size(); ++m) {
        const std::string& measure = d.measurements[m].measure;
        const bool resistance = resistances && measure.starts_with("resistance across ");
        if (!measure.starts_with("voltage at ") && !resistance) continue;
        readings.push_back(
            {m, with_meter_error(d.meter, d.measurements[m].kind, simulated.at(index, m), random)});
    }
    return readings;
}

// The figures that the specimen has, by their names.
std::map<std::string, double> figures_of(const LinkAtBench& at, std::size_t index) {
    const auto circuit = *build_circuit(at.prepared);
    const auto specimen =
        draw_specimen(circuit, bench_conditions(at.prepared, at.dictionary.options), seed, index);
    std::map<std::string, double> figures;
    for (std::size_t k = 0; k < circuit.parameters.size(); ++k) {
        figures[circuit.name_of(static_cast<Slot>(k))] = specimen.values[k];
    }
    return figures;
}

// A link with few parts, so that many specimens can be learnt of.
const LinkAtBench& plain_at_bench() {
    static const LinkAtBench at = testing_support::at_bench(
        *link_from(plain_link()), {.specimens = 30, .good_specimens = 100});
    return at;
}

TEST(BuiltLink, LearntRangesHoldTheTruth) {
    const LinkAtBench& at = plain_at_bench();
    std::size_t learnt = 0;
    std::size_t held = 0;
    std::set<std::string> names;
    for (std::size_t k = 0; k < specimens; ++k) {
        const auto built = built_link(at.link, at.dictionary, read_of(at, k, false), {});
        ASSERT_TRUE(built.has_value()) << k;
        const auto truth = figures_of(at, k);
        double before = 0;
        for (const LearntFigure& figure : built->learnt) {
            names.insert(figure.name);
            ASSERT_TRUE(truth.contains(figure.name)) << figure.name;
            const double value = truth.at(figure.name);
            const double width = figure.learnt.highest - figure.learnt.lowest;
            const double stated = figure.stated.highest - figure.stated.lowest;
            ++learnt;
            held += value >= figure.learnt.lowest && value <= figure.learnt.highest ? 1 : 0;
            EXPECT_LT(width, stated) << figure.name;
            EXPECT_GE(width / stated, before - 1e-12) << "those narrowed most first";
            before = width / stated;
            EXPECT_GE(figure.learnt.lowest, figure.stated.lowest - 1e-9 * stated);
            EXPECT_LE(figure.learnt.highest, figure.stated.highest + 1e-9 * stated);
            EXPECT_GE(figure.learnt.nominal, figure.learnt.lowest);
            EXPECT_LE(figure.learnt.nominal, figure.learnt.highest);
        }
    }
    EXPECT_TRUE(names.contains("output.supply.voltage"));
    EXPECT_GT(names.size(), 2U);
    EXPECT_GT(learnt, 2 * specimens);
    // Of few, one may lie outside.
    EXPECT_GE(static_cast<double>(held + 1), 0.95 * static_cast<double>(learnt))
        << held << " of " << learnt;
}

TEST(BuiltLink, LearnsOfAnExample) {
    const LinkAtBench& at = example_at_bench("bell-hammer");
    const auto built = built_link(at.link, at.dictionary, read_of(at, 0), {});
    ASSERT_TRUE(built.has_value());
    const auto truth = figures_of(at, 0);
    EXPECT_GT(built->learnt.size(), 5U);
    for (const LearntFigure& figure : built->learnt) {
        const double room = 0.3 * (figure.learnt.highest - figure.learnt.lowest);
        EXPECT_GE(truth.at(figure.name), figure.learnt.lowest - room) << figure.name;
        EXPECT_LE(truth.at(figure.name), figure.learnt.highest + room) << figure.name;
    }
}

TEST(BuiltLink, SupplyIsAsMeasured) {
    const LinkAtBench& at = example_at_bench("night-silence");
    const auto readings = read_of(at, 3);
    const auto built = built_link(at.link, at.dictionary, readings, {});
    ASSERT_TRUE(built.has_value());
    const auto found =
        std::ranges::find(built->learnt, "input.supply.voltage", &LearntFigure::name);
    ASSERT_NE(found, built->learnt.end());
    const auto m = at.measurement("voltage at input.supply", "day");
    const double shown = std::ranges::find(readings, m, &TakenReading::measurement)->value;
    const double limit = error_limit(at.dictionary.meter, MeasurementKind::voltage, shown);
    EXPECT_NEAR(found->learnt.nominal, shown, limit);
    EXPECT_LE(found->learnt.highest - found->learnt.lowest, 3.5 * limit);
    EXPECT_EQ(found->dimension, Dimension::voltage);
    EXPECT_EQ(found->stated.lowest, 19.2);
    EXPECT_EQ(found->stated.highest, 30);
    // The link has it in place of what its file says.
    const Spread& now = built->link.input.supply->find(Key::voltage)->spread;
    EXPECT_EQ(now.lowest, found->learnt.lowest);
    EXPECT_EQ(now.highest, found->learnt.highest);
    EXPECT_TRUE(build_circuit(built->link).has_value());
}

TEST(BuiltLink, ReadingsThatNoGoodLinkGivesTeachNothing) {
    const LinkAtBench& at = example_at_bench("night-silence");
    const auto m = at.measurement("voltage at input.supply", "day");
    EXPECT_FALSE(built_link(at.link, at.dictionary, {{m, 12.0}}, {}).has_value());
    EXPECT_FALSE(built_link(at.link, at.dictionary, {}, {}).has_value());
    std::stop_source stop;
    stop.request_stop();
    EngineOptions stopped;
    stopped.stop = stop.get_token();
    EXPECT_FALSE(built_link(at.link, at.dictionary, {{m, 24.0}}, stopped).has_value());
}

// A coupler's photocurrent pulls against R2; the promise breaks when its emitter has faded too far.
std::string fading_link() {
    auto text = with(plain_link(), "[input]",
                     "[surroundings]\ntemperature = \"15 .. 30 °C\"\nservice = \"2 years\"\nduty "
                     "= \"100 %\"\n[input]");
    text = with(text, "value = \"10 kΩ ± 5 %\"", "value = \"820 Ω ± 5 %\"");
    return text;
}

BuiltLink with_ratio(double lowest, double highest) {
    const Link link = *link_from(fading_link());
    BuiltLink built{.link = prepared_for_faults(link, *build_circuit(link)), .learnt = {}};
    edits::set_figure(built.link.parts[*built.link.find_part("U1")].description,
                      Key::photocurrent_ratio, {0.5 * (lowest + highest), lowest, highest});
    return built;
}

TEST(BuiltLink, StrongCouplerHoldsLongerThanAWeakOne) {
    const Link link = *link_from(fading_link());
    const auto circuit = *build_circuit(link);
    const auto ratio =
        circuit
            .parameters[to_index(
                circuit.find(figure_of(*link.find_part("U1"), Key::photocurrent_ratio)).value())]
            .spread;
    ProofOptions options;
    options.samples = samples;
    double before = -1;
    std::vector<double> holds;
    for (const double factor : {0.02, 0.7, 0.85, 1.0, 1.3, 2.0}) {
        const double middle = factor * ratio.nominal;
        const auto proof = prove_built(with_ratio(0.98 * middle, 1.02 * middle), options);
        ASSERT_TRUE(proof.has_value());
        EXPECT_GE(proof->holds_for, before) << factor;
        EXPECT_EQ(proof->and_longer, proof->holds_for >= 50 * 365.25 * 86400);
        before = proof->holds_for;
        holds.push_back(before);
    }
    EXPECT_EQ(holds.front(), 0);  // too weak when new
    EXPECT_GT(holds.back(), 0);
}

TEST(BuiltLink, LinkThatCannotKeepItsPromiseHoldsForNoTime) {
    // 1 kΩ in the emitter's lead leaves 8 mA: never 20 mA, whatever the coupler.
    const Link link = *link_from(plain_link() +
                                 "[[promise]]\nstate = \"on\"\ncurrent = \"R1\"\nat_least = \"20 "
                                 "mA\"\n");
    ProofOptions options;
    options.samples = samples;
    const auto proof = prove_built(
        {.link = prepared_for_faults(link, *build_circuit(link)), .learnt = {}}, options);
    ASSERT_TRUE(proof.has_value());
    EXPECT_EQ(proof->holds_for, 0);
    EXPECT_FALSE(proof->and_longer);
    EXPECT_EQ(proof->proof.verdict, Verdict::broken);
}

TEST(BuiltLink, LinkThatNothingFadesInHoldsForLongerThanIsLookedAt) {
    const auto text = with(
        plain_link(), "[[promise]]\nstate = \"on\"\nvoltage = \"signal\"\nat_most = \"0.8 V\"\n",
        "[[promise]]\nstate = \"off\"\nvoltage = \"signal\"\nat_least = \"3.5 V\"\n");
    const Link link = *link_from(text);
    ProofOptions options;
    options.samples = samples;
    const auto proof = prove_built(
        {.link = prepared_for_faults(link, *build_circuit(link)), .learnt = {}}, options);
    ASSERT_TRUE(proof.has_value());
    EXPECT_TRUE(proof->and_longer);
    EXPECT_NEAR(proof->holds_for, 50 * 365.25 * 86400, 1);
}

}  // namespace
}  // namespace gapwright
