// Promises about changes and about the signal, and limits passed on the way.
#include "proof/timed/timed_proof.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "population/specimen.hpp"
#include "proof/timed/timed_subject.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::with;

const std::size_t followed = testing_support::how_many(10U, 100U);

// A coupler pulls a node down for a logic input.
std::string data_link(const std::string& more) {
    return R"([surroundings]
temperature = "0 .. 45 °C"
[input]
supply = "5 V ± 5 %"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2 > data", "data > U1 > return", "data > L1 > return"]
[parts]
P1 = { card = "logic-output-5v" }
R1 = { kind = "resistor", value = "1 kΩ ± 5 %" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "4.7 kΩ ± 5 %" }
L1 = { card = "logic-input-5v" }
[states]
off = { P1 = "low" }
on = { P1 = "high" }
)" + more;
}

std::string change(const std::string& from, const std::string& to, const std::string& reaches,
                   const std::string& within) {
    return "[[promise]]\nchange = [\"" + from + "\", \"" + to +
           "\"]\nvoltage = \"data\"\nreaches = \"" + reaches + "\"\nwithin = \"" + within + "\"\n";
}

struct Proven {
    Link link;
    LinkCircuit circuit;
    Proof proof;
};

Proven prove_in_time(const std::string& text, ProofOptions options = {}) {
    auto link = link_from(text);
    if (!link) throw std::runtime_error(to_text(link.error()));
    auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    options.samples = std::max<std::size_t>(options.timed_samples, 100);
    auto proof = prove(*link, *circuit, options);
    if (!proof) throw std::runtime_error(proof.error().message);
    return {std::move(*link), std::move(*circuit), std::move(*proof)};
}

TEST(TimedPromise, IsKeptThinOrBrokenByItsWorstDelay) {
    const auto wide = prove_in_time(data_link(change("on", "off", "3.5 V", "10 ms")),
                                    {.timed_samples = followed});
    const auto& p = wide.proof.promises.at(0);
    EXPECT_EQ(p.state, "on > off");
    EXPECT_EQ(p.quantity, "voltage data reaches 3.5 V");
    EXPECT_TRUE(p.timed);
    EXPECT_EQ(p.dimension, Dimension::time);
    EXPECT_EQ(p.verdict, Verdict::kept);
    EXPECT_EQ(p.share_kept(), 1);
    EXPECT_EQ(p.samples, followed);
    EXPECT_LE(p.lowest, p.nominal);
    EXPECT_LT(p.nominal, p.highest);
    EXPECT_FALSE(p.highest_case.empty());
    EXPECT_FALSE(p.comes_to);

    const auto verdict = [&](double within) {
        return prove_in_time(
                   data_link(change("on", "off", "3.5 V", std::to_string(within * 1e6) + " µs")),
                   {.timed_samples = 10})
            .proof;
    };
    EXPECT_EQ(verdict(1.2 * p.highest).promises[0].verdict, Verdict::kept);
    EXPECT_EQ(verdict(1.05 * p.highest).promises[0].verdict, Verdict::thin);
    const auto broken = verdict(0.5 * (p.nominal + p.highest));
    EXPECT_EQ(broken.promises[0].verdict, Verdict::broken);
    EXPECT_EQ(broken.verdict, Verdict::broken);
}

TEST(TimedPromise, TellsTheShareThatKeepsIt) {
    const auto wide = prove_in_time(data_link(change("on", "off", "3.5 V", "10 ms")),
                                    {.timed_samples = followed});
    // The same specimens with a bound in the middle of those drawn.
    auto drawn = wide.proof.promises.at(0).first_drawn;
    ASSERT_EQ(drawn.size(), followed);
    std::ranges::sort(drawn);
    const double bound = 0.5 * (drawn[followed / 2 - 1] + drawn[followed / 2]);
    const auto half =
        prove_in_time(data_link(change("on", "off", "3.5 V", std::to_string(bound * 1e6) + " µs")),
                      {.timed_samples = followed});
    const auto& p = half.proof.promises.at(0);
    EXPECT_NEAR(p.share_kept(), 0.5, 0.011);
    EXPECT_LT(p.share_kept_low95, p.share_kept());
    EXPECT_EQ(p.verdict, Verdict::broken);
}

// Other specimens than those that the proof drew itself.
TEST(TimedPromise, IsNoBetterAtItsWorstThanAnySpecimenDrawn) {
    const auto proven = prove_in_time(
        data_link(change("on", "off", "3.5 V", "10 ms") + change("off", "on", "0.8 V", "1 ms")),
        {.timed_samples = 20});
    std::vector<TimedMeasure> measures;
    for (const auto& promise : proven.link.promises) {
        measures.push_back(timed_measure_of(proven.link, proven.circuit, promise));
    }
    const auto ranges = condition_ranges(proven.link);
    double slowest = 0;
    for (std::size_t k = 0; k < followed; ++k) {
        const auto values = timed_values(proven.circuit.circuit,
                                         draw_specimen(proven.circuit, ranges, 4242, k), measures);
        ASSERT_TRUE(values);
        for (std::size_t p = 0; p < 2; ++p) {
            EXPECT_LE(values->values[p], proven.proof.promises[p].highest * (1 + 1e-3))
                << k << ' ' << p;
        }
        slowest = std::max(slowest, values->values.front());
    }
    EXPECT_GT(slowest, 1.1 * proven.proof.promises[0].nominal);
}

TEST(TimedPromise, OfALevelThatIsNeverReachedTellsWhereItComesTo) {
    const auto proven = prove_in_time(with(with(data_link(change("on", "off", "4.5 V", "10 ms")),
                                                "data > L1 > return", "data > R3 > return"),
                                           "L1 = { card = \"logic-input-5v\" }",
                                           "R3 = { kind = \"resistor\", value = \"4.7 kΩ\" }"),
                                      {.timed_samples = 10});
    const auto& p = proven.proof.promises.at(0);
    EXPECT_GE(p.highest, never);
    EXPECT_EQ(p.verdict, Verdict::broken);
    EXPECT_EQ(p.share_kept(), 0);
    ASSERT_TRUE(p.comes_to);
    // Of the worst specimen: a low supply and a large R2.
    EXPECT_NEAR(*p.comes_to, 4.75 * 4.7 / (4.7 + 4.7 * 1.05), 0.02);
    EXPECT_EQ(p.reaches_dimension, Dimension::voltage);
}

TEST(TimedProof, SameSeedSameNumbersOnAnyThreads) {
    const std::string text = data_link(change("on", "off", "3.5 V", "100 µs"));
    ProofOptions one{.timed_samples = 20, .seed = 5};
    ProofOptions two = one;
    ProofOptions other = one;
    one.engine.threads = 1;
    two.engine.threads = 2;
    other.seed = 6;
    const auto a = prove_in_time(text, one).proof;
    const auto b = prove_in_time(text, two).proof;
    EXPECT_EQ(a.promises[0].lowest, b.promises[0].lowest);
    EXPECT_EQ(a.promises[0].highest, b.promises[0].highest);
    EXPECT_EQ(a.promises[0].kept, b.promises[0].kept);
    EXPECT_EQ(a.promises[0].first_drawn, b.promises[0].first_drawn);
    EXPECT_NE(a.promises[0].first_drawn, prove_in_time(text, other).proof.promises[0].first_drawn);
}

TEST(TimedProof, StopIsNoVerdict) {
    const auto link = link_from(data_link(change("on", "off", "3.5 V", "100 µs")));
    const auto circuit = build_circuit(*link);
    std::stop_source stop;
    stop.request_stop();
    ProofOptions options;
    options.engine.stop = stop.get_token();
    const auto ranges = condition_ranges(*link);
    const auto nominal = nominal_specimen(*circuit, ranges);
    const auto rest = solve_link(circuit->circuit, nominal.values, nominal.conditions);
    const auto proof = prove_in_time({*link, *circuit, ranges, options}, *rest);
    ASSERT_FALSE(proof);
    EXPECT_TRUE(proof.error().stopped);
}

}  // namespace
}  // namespace gapwright
