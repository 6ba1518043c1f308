// The trade-off of a value, delays of many specimens, and drift.
#include "proof/timed/value_sweep.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "proof/timed/delay_study.hpp"
#include "proof/timed/drift.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;

const std::string timed = plain_link() +
                          "[[promise]]\nchange = [\"on\", \"off\"]\nvoltage = \"signal\"\n"
                          "reaches = \"3.5 V\"\nwithin = \"180 µs\"\n";

struct Made {
    Link link;
    LinkCircuit circuit;
    explicit Made(const std::string& text)
        : link(*link_from(text)), circuit(*build_circuit(link)) {}
};

TEST(ValueSweep, DelayGrowsWithThePullUpAndTheKeptRangeEndsAtTheBound) {
    const Made made(timed);
    const auto sweep = value_sweep(made.link, made.circuit, "R2", {});
    ASSERT_TRUE(sweep) << sweep.error().message;
    EXPECT_NEAR(sweep->own, 10e3, 1e-6);
    ASSERT_EQ(sweep->promises.size(), 1U);
    const SweptPromise& p = sweep->promises[0];
    ASSERT_EQ(p.nominal.size(), sweep->ohms.size());
    for (std::size_t k = 0; k < p.nominal.size(); ++k) EXPECT_GE(p.worst[k], p.nominal[k]) << k;
    // From a kilohm on the receiver saturates at either value.
    for (std::size_t k = 12; k < p.nominal.size(); ++k) {
        EXPECT_GT(p.nominal[k], p.nominal[k - 1]) << sweep->ohms[k];
    }
    ASSERT_TRUE(sweep->kept_to);
    const auto last = std::ranges::find(sweep->ohms, *sweep->kept_to) - sweep->ohms.begin();
    EXPECT_LE(p.worst[static_cast<std::size_t>(last)], 180e-6);
    EXPECT_GT(p.worst[static_cast<std::size_t>(last) + 1], 180e-6);
    // The middle is the link itself.
    const auto proof = prove(made.link, made.circuit, {.samples = 100, .timed_samples = 10});
    ASSERT_TRUE(proof);
    EXPECT_NEAR(p.nominal[sweep->ohms.size() / 2], proof->promises[1].nominal,
                1e-9 + 1e-6 * p.nominal[20]);
}

TEST(ValueSweep, RefusesWhatItCannotVary) {
    const Made made(timed);
    EXPECT_FALSE(value_sweep(made.link, made.circuit, "U1", {}));
    EXPECT_FALSE(value_sweep(made.link, made.circuit, "R99", {}));
    const Made untimed(plain_link());
    const auto none = value_sweep(untimed.link, untimed.circuit, "R2", {});
    ASSERT_FALSE(none);
    EXPECT_NE(none.error().message.find("nothing about time"), std::string::npos);
}

TEST(DelayStudy, IsInOrderAndTheSameOnAnyThreads) {
    const Made made(timed);
    const auto answer = wave_answer(made.link, made.circuit, {.before = 0, .after = 1});
    ASSERT_TRUE(answer);
    ASSERT_FALSE(answer->delays.empty());
    EngineOptions one;
    one.threads = 1;
    EngineOptions three;
    three.threads = 3;
    const auto ranges = condition_ranges(made.link);
    const auto a = delay_study(made.circuit, ranges, answer->delays, 40, 7, one);
    const auto b = delay_study(made.circuit, ranges, answer->delays, 40, 7, three);
    ASSERT_TRUE(a && b);
    EXPECT_EQ(a->specimens, 40U);
    for (std::size_t k = 0; k < a->spreads.size(); ++k) {
        const DelaySpread& s = a->spreads[k];
        EXPECT_LE(s.fastest, s.middle);
        EXPECT_LE(s.middle, s.slowest);
        EXPECT_LT(s.fastest, s.slowest);
        EXPECT_EQ(s.slowest, b->spreads[k].slowest);
        EXPECT_EQ(s.middle, b->spreads[k].middle);
        EXPECT_FALSE(s.slowest_specimen.empty());
    }
    std::stop_source stop;
    stop.request_stop();
    EngineOptions stopped;
    stopped.stop = stop.get_token();
    const auto none = delay_study(made.circuit, ranges, answer->delays, 40, 7, stopped);
    ASSERT_FALSE(none);
    EXPECT_TRUE(none.error().stopped);
}

// Four-pin couplers: 70 mW up to 50 °C, nothing at 110 °C: 60 K / 70 mW; −0.5 %/K about 25 °C.
TEST(Drift, FollowsPowerThermalResistanceAndCoefficient) {
    const Made made(plain_link());
    const Specimen specimen = nominal_specimen(made.circuit, condition_ranges(made.link));
    const Drift drift = drift_of(made.link, made.circuit, specimen, 0);
    ASSERT_EQ(drift.emitters.size(), 1U);
    const WarmEmitter& e = drift.emitters[0];
    EXPECT_NEAR(e.rise, e.power * 60 / 70e-3, 1e-9);
    EXPECT_NEAR(e.light, 1 - 0.008 * e.rise, 1e-9);
    EXPECT_TRUE(drift_of(made.link, made.circuit, specimen, 1).emitters.empty());  // off: cold
}

}  // namespace
}  // namespace gapwright
