// Promises about the signal, and limits that only what happens in between comes near.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "card/key.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;

Proof proof_of(const std::string& text, const ProofOptions& options) {
    const auto link = link_from(text);
    if (!link) throw std::runtime_error(to_text(link.error()));
    const auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    auto proof = prove(*link, *circuit, options);
    if (!proof) throw std::runtime_error(proof.error().message);
    return std::move(*proof);
}

Proof nominal_of(const std::string& text) {
    return proof_of(text, {.nominal_only = true});
}

const std::size_t followed = testing_support::how_many(1U, 5U);

Proof proof_of(const std::string& text) {
    return proof_of(text, {.samples = 100, .timed_samples = followed});
}

// A coupler pulls a node down: it lets go more slowly than it pulls, so that a pulse of light comes
// out longer.
std::string serial(const std::string& path, const std::string& more) {
    return R"([input]
supply = "5 V"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "5 V ± 5 %"
paths = [)" +
           path + R"(, "data > L1 > return"]
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

constexpr const char* pulls_down = R"("supply > R2 > data", "data > U1 > return")";

std::string rated(const std::string& rate) {
    return "[signal]\nrate = \"" + rate + "\"\n";
}

std::string promise(const std::string& of, const std::string& bound) {
    const std::string where =
        of == "highest rate" ? "" : "voltage = \"data\"\nreaches = \"2.5 V\"\n";
    return "[[promise]]\nsignal = \"" + of + "\"\n" + where + bound + "\n";
}

TEST(SignalPromise, OfPulsesThatComeOutLongerIsAboveZero) {
    const auto at_rate = [](const std::string& rate) {
        return serial(pulls_down, rated(rate) + promise("pulse width error", "at_most = \"20 %\""));
    };
    const auto slow = proof_of(at_rate("1 kBd"));
    const auto& p = slow.promises.at(0);
    EXPECT_EQ(p.state, "signal");
    EXPECT_TRUE(p.either_sign);
    EXPECT_EQ(p.dimension, Dimension::ratio);
    EXPECT_GT(p.nominal, 0);
    EXPECT_LT(p.nominal, 0.2);
    EXPECT_EQ(p.verdict, Verdict::kept);
    EXPECT_EQ(p.share_kept(), 1);
    // In half a bit the same error is twice the share.
    EXPECT_NEAR(nominal_of(at_rate("2 kBd")).promises.at(0).nominal / p.nominal, 2, 0.02);
}

// The signal's states the other way round: the pulse is the dark one, and comes out shorter by as
// much. Its size is what is bounded.
TEST(SignalPromise, OfPulsesThatComeOutShorterIsBelowZero) {
    const std::string asked = promise("pulse width error", "at_most = \"0.1 %\"");
    const auto lit = nominal_of(serial(pulls_down, rated("1 kBd") + asked));
    const auto dark =
        proof_of(serial(pulls_down, rated("1 kBd") + "states = [\"on\", \"off\"]\n" + asked));
    const auto& p = dark.promises.at(0);
    EXPECT_LT(p.nominal, 0);
    EXPECT_NEAR(p.nominal, -lit.promises.at(0).nominal, 0.02 * lit.promises.at(0).nominal);
    EXPECT_EQ(lit.promises.at(0).verdict, Verdict::broken);
    EXPECT_EQ(p.verdict, Verdict::broken);
    EXPECT_EQ(p.share_kept(), 0);
    EXPECT_LE(p.lowest, p.nominal);
}

TEST(SignalPromise, OfAnEyeIsOpenWhenSlowAndClosedWhenFast) {
    const std::string asked = promise("eye", "at_least = \"3 V\"");
    const auto slow = proof_of(serial(pulls_down, rated("300 Bd") + asked));
    const auto& p = slow.promises.at(0);
    EXPECT_EQ(p.verdict, Verdict::kept);
    EXPECT_EQ(p.dimension, Dimension::voltage);
    // All of the supply but for what is left over the receiver.
    EXPECT_NEAR(p.nominal, 4.8, 0.25);
    EXPECT_LT(p.lowest, p.nominal);
    const auto quick = nominal_of(serial(pulls_down, rated("400 kBd") + asked));
    EXPECT_EQ(quick.promises.at(0).verdict, Verdict::broken);
    EXPECT_LT(quick.promises.at(0).nominal, 1);
}

TEST(SignalPromise, OfAHighestRateEndsWhereAnotherPromiseBreaks) {
    const auto asked = [](const std::string& rate) {
        return serial(pulls_down, rated("1 kBd") +
                                      promise("pulse width error", "at_most = \"20 %\"") +
                                      promise("highest rate", "at_least = \"" + rate + "\""));
    };
    const auto proof = proof_of(asked("1.2 kBd"));
    const auto& rate = proof.promises.at(1);
    EXPECT_EQ(rate.dimension, Dimension::signalling_rate);
    EXPECT_GE(rate.lowest, 1200);
    EXPECT_LT(rate.lowest, rate.nominal);
    EXPECT_EQ(rate.verdict, Verdict::kept);
    EXPECT_NE(rate.reason.find("pulse width error"), std::string::npos) << rate.reason;
    EXPECT_NE(rate.reason.find("ends it"), std::string::npos) << rate.reason;
    // While the link rests within a bit the error is a fixed time, so that it tells the rate.
    EXPECT_NEAR(proof.promises.at(0).nominal / 1000 * rate.nominal, 0.2, 0.02);
    const auto more = nominal_of(asked(std::to_string(1.1 * rate.nominal) + " Bd"));
    EXPECT_EQ(more.promises.at(1).verdict, Verdict::broken);
}

const RatingResult* rating(const Proof& proof, std::string_view part, std::string_view limit,
                           std::string_view state) {
    const auto found = std::ranges::find_if(proof.ratings, [&](const RatingResult& r) {
        return r.part == part && key_name(r.limit) == limit && r.state == state;
    });
    return found == proof.ratings.end() ? nullptr : &*found;
}

TEST(Disturbed, LevelsOfLogicInputsAreJudged) {
    const auto disturbed = [](const std::string& disturbance) {
        return proof_of(serial(pulls_down, "[disturbance]\n" + disturbance));
    };
    const auto weak = disturbed("dip = \"1 %\"\ndip_time = \"1 ms\"\n");
    const auto* high = rating(weak, "L1", "high_above", "off, disturbed");
    ASSERT_NE(high, nullptr);
    EXPECT_EQ(high->sense, Sense::at_least);
    EXPECT_NE(high->verdict, Verdict::broken);
    EXPECT_NEAR(high->nominal, 5 * 0.99, 0.05);
    const auto* low = rating(weak, "L1", "low_below", "on, disturbed");
    ASSERT_NE(low, nullptr);
    EXPECT_EQ(low->sense, Sense::at_most);

    const auto strong = disturbed("dip = \"60 %\"\ndip_time = \"1 ms\"\n");
    high = rating(strong, "L1", "high_above", "off, disturbed");
    ASSERT_NE(high, nullptr);
    EXPECT_EQ(high->verdict, Verdict::broken);
    EXPECT_LT(high->lowest, 0.4 * 5);
    EXPECT_EQ(strong.verdict, Verdict::broken);
    EXPECT_EQ(rating(proof_of(serial(pulls_down, "")), "L1", "high_above", "off, disturbed"),
              nullptr);
}

std::string relay(const std::string& flyback) {
    return R"([input]
supply = "5 V"
paths = ["supply > P1 > R1 > U1 > return"]
[output]
supply = "24 V"
paths = ["supply > R2 > U1 > Q1.base", "Q1.base > R3 > return", "supply > K1 > coil", "coil > Q1 > return")" +
           flyback + R"(]
[parts]
P1 = { card = "logic-output-5v" }
R1 = { kind = "resistor", value = "330 Ω" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "10 kΩ" }
R3 = { kind = "resistor", value = "10 kΩ" }
Q1 = { card = "npn-medium" }
K1 = { card = "relay-coil-24v" }
)" + (flyback.empty() ? "" : "D1 = { card = \"rectifier-diode\" }\n") +
           R"([states]
on = { P1 = "high" }
off = { P1 = "low" }
)";
}

// What only the way from on to off shows.
TEST(LimitsOnTheWay, AWindingWithoutADiodeBreaksItsTransistor) {
    const auto bare = proof_of(relay(""));
    const auto* peak = rating(bare, "Q1", "collector_emitter_voltage", "on > off");
    ASSERT_NE(peak, nullptr);
    EXPECT_EQ(peak->verdict, Verdict::broken);
    EXPECT_GT(peak->highest, 5 * 24);
    EXPECT_EQ(bare.verdict, Verdict::broken);
    const auto caught = proof_of(relay(", \"coil > D1 > supply\""));
    for (const auto& r : caught.ratings) {
        EXPECT_FALSE(r.part == "Q1" && r.limit == Key::collector_emitter_voltage &&
                     r.verdict == Verdict::broken)
            << r.state << ' ' << r.highest;
    }
}

}  // namespace
}  // namespace gapwright
