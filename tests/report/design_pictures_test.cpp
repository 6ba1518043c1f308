// The pictures of a design's first answer.
#include "report/pictures/design_pictures.hpp"

#include <gtest/gtest.h>

#include "support/made_design.hpp"

namespace gapwright {
namespace {

using testing_support::made_design;

TEST(DesignPictures, ShowTheFirstAnswersWindows) {
    const auto pictures = design_pictures(made_design(Verdict::kept));
    ASSERT_EQ(pictures.size(), 1U);
    EXPECT_EQ(pictures[0].name, "value-windows");
    const std::string svg = pictures[0].picture.svg(true);
    // Rounded inwards, as the text says them.
    EXPECT_NE(svg.find("below 181 Ω: U1 forward current, on"), std::string::npos) << svg;
    EXPECT_NE(svg.find("above 591 Ω: voltage supply to coil, on"), std::string::npos) << svg;
}

TEST(DesignPictures, NoneWithoutAWindowOrAnAnswer) {
    auto design = made_design(Verdict::broken);
    design.answers[0].values[0].window.reset();
    EXPECT_TRUE(design_pictures(design).empty());
    EXPECT_TRUE(design_pictures({}).empty());
}

}  // namespace
}  // namespace gapwright
