#include "proof/cases/influence.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

// The output side is a divider that the dark receiver leaves alone.
std::string divider(const std::string& upper, const std::string& lower) {
    return R"(title = "Divider"
[input]
supply = "5 V"
paths = ["supply > S1 > R3 > U1 > return"]
[output]
supply = "10 V"
paths = ["supply > R1 > tap", "tap > R2 > return", "supply > U1 > R4 > return"]
[parts]
S1 = { kind = "contact" }
R3 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R1 = { kind = "resistor", value = ")" +
           upper + R"(" }
R2 = { kind = "resistor", value = ")" +
           lower + R"(" }
R4 = { kind = "resistor", value = "10 kΩ" }
[states]
dark = { S1 = "open" }
[[promise]]
state = "dark"
voltage = "tap"
side = "output"
at_most = "6 V"
)";
}

Proof proof_of(const std::string& text) {
    const auto link = testing_support::link_from(text);
    EXPECT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    auto proof = prove(*link, *circuit, {.samples = 2000});
    EXPECT_TRUE(proof) << proof.error().message;
    return std::move(*proof);
}

TEST(Influence, OfADividerAreThoseOfItsClosedForm) {
    const auto proof = proof_of(divider("10 kΩ ± 5 %", "10 kΩ ± 2 %"));
    const auto& found = proof.promises[0].influences;
    // v = 10 V·R2/(R1+R2): both derivatives are of one size at equal resistances, so shares go as
    // the squares of the tolerances.
    ASSERT_EQ(found.size(), 2U);
    EXPECT_EQ(found[0].name, "R1.value");
    EXPECT_NEAR(found[0].share, 25.0 / 29, 1e-9);
    EXPECT_EQ(found[1].name, "R2.value");
    EXPECT_NEAR(found[1].share, 4.0 / 29, 1e-9);
    // The highest voltage: R1 low, R2 high; with R1 of 1 % in place of 5 %.
    EXPECT_EQ(found[0].grade, "± 1 %");
    EXPECT_NEAR(found[0].worst, 10.0 * 10.2 / (10.2 + 9.9), 1e-6);
    EXPECT_EQ(found[1].grade, "± 1 %");
    EXPECT_NEAR(found[1].worst, 10.0 * 10.1 / (10.1 + 9.5), 1e-6);
}

TEST(Influence, OnePercentIsBetteredToATenth) {
    const auto proof = proof_of(divider("10 kΩ ± 1 %", "10 kΩ"));
    const auto& found = proof.promises[0].influences;
    ASSERT_EQ(found.size(), 1U);
    EXPECT_EQ(found[0].grade, "± 0.1 %");
    EXPECT_NEAR(found[0].share, 1.0, 1e-9);
    EXPECT_NEAR(found[0].worst, 10.0 * 10 / (10 + 9.99), 1e-6);
}

TEST(Influence, NothingVariesNothingMatters) {
    const auto proof = proof_of(divider("10 kΩ", "10 kΩ"));
    for (const auto& influence : proof.promises[0].influences) {
        // The coupler's spreads move a dark divider by next to nothing, and are told as shares of
        // that.
        EXPECT_NEAR(influence.worst, 5.0, 1e-6) << influence.name;
    }
}

TEST(Proof, StoppedOnTheWayTellsWhatThereIs) {
    const auto link = testing_support::link_from(testing_support::plain_link());
    const auto circuit = build_circuit(*link);
    std::stop_source stop;
    ProofOptions options;
    options.samples = 100'000'000;  // more than anyone waits for
    options.engine.stop = stop.get_token();
    options.engine.progress = [&](std::size_t done) {
        if (done > 5000) stop.request_stop();
    };
    const auto proof = prove(*link, *circuit, options);
    ASSERT_TRUE(proof) << proof.error().message;
    EXPECT_EQ(proof->asked, options.samples);
    EXPECT_GT(proof->samples, 5000U);
    EXPECT_LT(proof->samples, options.samples);
    EXPECT_EQ(proof->promises[0].samples, proof->samples);
    EXPECT_LE(proof->promises[0].kept, proof->samples);
    EXPECT_GT(proof->worst_case_specimens, 0U);
}

}  // namespace
}  // namespace gapwright
