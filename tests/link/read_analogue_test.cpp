// [analogue] as read, and its mistakes told with cause, place and remedy.
#include <gtest/gtest.h>

#include <algorithm>

#include "support/told_mistake.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::Mistake;
using testing_support::with;

std::string analogue_link() {
    return R"(title = "Meter"
[input]
supply = "5 V"
paths = ["supply > PORT > R1 > anode", "anode > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
PORT = { card = "logic-output-5v" }
R1 = { kind = "resistor", value = "1 kΩ" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "1 kΩ" }
[states]
dark = { PORT = "low" }
lit = { PORT = "high" }
[analogue]
state = "lit"
drive = "PORT"
swing = "0.2 V"
output = "signal"
)";
}

TEST(Analogue, IsRead) {
    const auto link = link_from(analogue_link());
    ASSERT_TRUE(link) << to_text(link.error());
    ASSERT_TRUE(link->analogue);
    EXPECT_EQ(link->analogue->state, 1U);
    EXPECT_EQ(link->analogue->drive, link->find_part("PORT"));
    EXPECT_DOUBLE_EQ(link->analogue->swing, 0.2);
    EXPECT_EQ(link->analogue->output, link->output.find_node("signal"));
    const auto shorter = link_from(with(with(analogue_link(), "state = \"lit\"\n", ""),
                                        "\"PORT\"\nswing", "\"supply\"\nswing"));
    ASSERT_TRUE(shorter) << to_text(shorter.error());
    EXPECT_EQ(shorter->analogue->state, 0U);
    EXPECT_FALSE(shorter->analogue->drive);
}

class BadAnalogue : public testing::TestWithParam<Mistake> {};

TEST_P(BadAnalogue, IsToldWithPlaceAndRemedy) {
    testing_support::expect_told(analogue_link(), GetParam());
}

const Mistake mistakes[] = {
    {"Key", "state =", "sate =", Cause::unknown_key, "sate", "did you mean \"state\""},
    {"State", "\"lit\"", "\"lti\"", Cause::unknown_name, "\"lti\"", "did you mean \"lit\""},
    {"DriveUnknown", "drive = \"PORT\"", "drive = \"PROT\"", Cause::unknown_name, "\"PROT\"",
     "did you mean \"PORT\""},
    {"DriveNearSupply", "drive = \"PORT\"", "drive = \"suply\"", Cause::unknown_name, "\"suply\"",
     "did you mean \"supply\""},
    {"DriveNoOutput", "drive = \"PORT\"", "drive = \"R1\"", Cause::contradiction, "\"R1\"",
     "R1 is no logic output of the input side"},
    {"DriveNoText", "drive = \"PORT\"", "drive = 3", Cause::wrong_type, "3", "drive is a text"},
    {"DriveMissing", "drive = \"PORT\"\n", "", Cause::missing_key, "analogue", "write drive = "},
    {"SwingUnit", "\"0.2 V\"", "\"0.2 A\"", Cause::wrong_unit, "0.2 A", "volts"},
    {"SwingZero", "\"0.2 V\"", "\"0 V\"", Cause::out_of_range, "\"0 V\"", "above zero"},
    {"SwingSpread", "\"0.2 V\"", "\"0.2 V ± 5 %\"", Cause::contradiction, "\"0.2 V ± 5 %\"",
     "without a spread"},
    {"SwingMissing", "swing = \"0.2 V\"\n", "", Cause::missing_key, "analogue",
     "swing = \"0.2 V\""},
    {"OutputUnknown", "output = \"signal\"", "output = \"signl\"", Cause::unknown_name, "\"signl\"",
     "did you mean \"signal\""},
    {"OutputOfInput", "output = \"signal\"", "output = \"anode\"", Cause::contradiction,
     "\"anode\"", "a node of the input side"},
    {"OutputReturn", "output = \"signal\"", "output = \"return\"", Cause::contradiction,
     "\"return\"", "measured against the return"},
    {"OutputMissing", "output = \"signal\"\n", "", Cause::missing_key, "analogue",
     "output = \"signal\""},
};

INSTANTIATE_TEST_SUITE_P(All, BadAnalogue, testing::ValuesIn(mistakes),
                         [](const auto& tested) { return tested.param.name; });

// Without a supply there is none to vary.
TEST(Analogue, NeedsTheSupplyThatItVaries) {
    const auto link = link_from(with(with(analogue_link(), "[input]\nsupply = \"5 V\"", "[input]"),
                                     "drive = \"PORT\"", "drive = \"supply\""));
    ASSERT_FALSE(link);
    EXPECT_NE(to_text(link.error()).find("no supply that could be varied"), std::string::npos);
}

}  // namespace
}  // namespace gapwright
