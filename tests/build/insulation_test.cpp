// Distances that a link asks for.
#include "build/insulation.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace gapwright {
namespace {

constexpr double mm = 1e-3;
constexpr double exactly_so = 1e-12;  // m

// The grade on 230 V mains, all else as [insulation] has it by default.
Insulation on_mains(Insulation::Grade grade) {
    return {.grade = grade, .mains = 230};
}

bool has_step(const RequiredDistances& required, std::string_view part) {
    return std::ranges::any_of(required.steps, [&](const std::string& step) {
        return step.find(part) != std::string::npos;
    });
}

TEST(RequiredDistances, OfBasicInsulationOnMains) {
    const auto required = required_distances({}, on_mains(Insulation::Grade::basic));
    ASSERT_TRUE(required) << required.error();
    EXPECT_EQ(required->voltage, 230);
    EXPECT_NEAR(required->peak, 325.27, 0.01);
    EXPECT_EQ(required->impulse, 2500);
    EXPECT_NEAR(required->clearance, 1.5 * mm, exactly_so);
    EXPECT_NEAR(required->creepage, 2.5 * mm, exactly_so) << "the row of 250 V";
    EXPECT_EQ(required->board_creepage, required->creepage);
    EXPECT_FALSE(required->extra_low);
    EXPECT_TRUE(has_step(*required,
                         "impulse voltage 2.5 kV: 230 V mains, overvoltage category II (IEC "
                         "60664-1 table F.1, from memory)"));
    EXPECT_TRUE(has_step(*required, "creepage by the row of 250 V"));
    EXPECT_TRUE(has_step(*required, "material group IIIa"));
    EXPECT_TRUE(has_step(*required, "those for printed wiring are used for functional"));
}

TEST(RequiredDistances, OfReinforcedInsulationAreAStepHigherAndDouble) {
    const auto required = required_distances({}, on_mains(Insulation::Grade::reinforced));
    ASSERT_TRUE(required) << required.error();
    EXPECT_EQ(required->impulse, 4000);
    EXPECT_NEAR(required->clearance, 3.0 * mm, exactly_so);
    EXPECT_NEAR(required->creepage, 5.0 * mm, exactly_so);
    EXPECT_TRUE(has_step(*required, "reinforced: impulse voltage 4 kV"));
    EXPECT_TRUE(has_step(*required, "reinforced: double that, 5 mm"));
}

TEST(RequiredDistances, OfFunctionalInsulationTakeTheColumnForPrintedWiring) {
    Insulation asked = on_mains(Insulation::Grade::functional);
    const auto clean = required_distances(250, asked);
    ASSERT_TRUE(clean) << clean.error();
    EXPECT_NEAR(clean->creepage, 2.5 * mm, exactly_so);
    EXPECT_NEAR(clean->board_creepage, 1.5 * mm, exactly_so) << "1 mm, but for the clearance";
    EXPECT_TRUE(has_step(*clean, "the column for printed wiring, pollution degree 2"));
    EXPECT_TRUE(has_step(*clean, "along the board 1.5 mm: never less than the clearance"));
    const auto between =
        required_distances(225, Insulation{.grade = Insulation::Grade::functional});
    ASSERT_TRUE(between) << between.error();
    EXPECT_NEAR(between->creepage, 2.25 * mm, exactly_so) << "between the rows";
    EXPECT_NEAR(between->board_creepage, 0.815 * mm, exactly_so) << "likewise";
    asked.pollution_degree = 3;
    const auto dirty = required_distances(250, asked);
    ASSERT_TRUE(dirty) << dirty.error();
    EXPECT_EQ(dirty->board_creepage, dirty->creepage);
}

TEST(RequiredDistances, WithoutMainsFollowTheWorkingVoltage) {
    const auto required = required_distances(24, Insulation{});
    ASSERT_TRUE(required) << required.error();
    EXPECT_EQ(required->peak, 24);
    EXPECT_EQ(required->impulse, 500);
    EXPECT_NEAR(required->clearance, 0.2 * mm, exactly_so);
    EXPECT_NEAR(required->creepage, 0.496 * mm, exactly_so) << "between 20 V and 25 V";
    EXPECT_TRUE(required->extra_low);
    EXPECT_TRUE(has_step(*required, "no mains stated, so as for mains of up to 50 V"));
    const auto high = required_distances(2000, Insulation{});
    ASSERT_TRUE(high) << high.error();
    EXPECT_NEAR(high->clearance, 1.27 * mm, exactly_so) << "the peak asks more than the impulse";
}

TEST(RequiredDistances, WithNothingStatedAreThoseOfExtraLowVoltage) {
    const auto required = required_distances({}, Insulation{});
    ASSERT_TRUE(required) << required.error();
    EXPECT_EQ(required->voltage, 60);
    EXPECT_TRUE(required->extra_low);
    EXPECT_TRUE(has_step(*required, "none is stated"));
}

TEST(RequiredDistances, CreepageIsNeverLessThanTheClearance) {
    Insulation asked{.mains = 100, .overvoltage_category = 4, .pollution_degree = 2};
    asked.group = Insulation::Group::i;
    const auto required = required_distances({}, asked);
    ASSERT_TRUE(required) << required.error();
    EXPECT_NEAR(required->clearance, 1.5 * mm, exactly_so);
    EXPECT_NEAR(required->creepage, 1.5 * mm, exactly_so) << "0.71 mm by table F.4 alone";
    EXPECT_TRUE(has_step(*required, "never less than the clearance"));
}

TEST(RequiredDistances, ExtraLowVoltageEndsAt60VDirectAnd30VOfMains) {
    EXPECT_TRUE(required_distances(60, Insulation{})->extra_low);
    EXPECT_FALSE(required_distances(60.1, Insulation{})->extra_low);
    EXPECT_TRUE(required_distances({}, Insulation{.mains = 30})->extra_low);
    EXPECT_FALSE(required_distances({}, Insulation{.mains = 30.1})->extra_low);
}

TEST(RequiredDistances, AreRefusedBeyondTheTables) {
    const auto required = required_distances(2500, Insulation{});
    ASSERT_FALSE(required);
    EXPECT_NE(required.error().find("2.5 kV"), std::string::npos) << required.error();
}

}  // namespace
}  // namespace gapwright
