// `duty` of [surroundings]: which share of its life a link is in which state.
#include <gtest/gtest.h>

#include <algorithm>

#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

std::vector<double> shares_of(const std::string& duty, const std::string& more_states = "") {
    const auto link = link_from(
        with(with(plain_link(), "[input]", "[surroundings]\nduty = " + duty + "\n[input]"),
             "off = { S1 = \"open\" }\n", "off = { S1 = \"open\" }\n" + more_states));
    EXPECT_TRUE(link) << to_text(link.error());
    return link ? link->shares() : std::vector<double>{};
}

TEST(ReadDuty, DutyOfTheFirstStateAndOfEach) {
    using Shares = std::vector<double>;
    EXPECT_EQ(shares_of("\"5 %\""), (Shares{0.05, 0.95}));
    EXPECT_EQ(shares_of("\"100 %\""), (Shares{1, 0}));
    EXPECT_EQ(shares_of("{ off = \"60 %\", on = \"5 %\" }"), (Shares{0.05, 0.6}));
    EXPECT_EQ(shares_of("{ on = \"5 %\", off = \"60 %\", day = \"35 %\" }", "day = {}\n"),
              (Shares{0.05, 0.6, 0.35}));
    // Ten tenths are a little more than one in binary numbers.
    EXPECT_EQ(shares_of("{ on = \"33.3333333333 %\", off = \"66.6666666667 %\" }").size(), 2U);
}

// A link without anything to set has one state: the rest of the time it is without supply.
TEST(ReadDuty, DutyOfTheOnlyState) {
    const auto link =
        link_from(with(with(plain_link(), "[input]", "[surroundings]\nduty = \"30 %\"\n[input]"),
                       "off = { S1 = \"open\" }\n", ""));
    ASSERT_TRUE(link) << to_text(link.error());
    EXPECT_EQ(link->shares(), std::vector<double>{0.3});
}

struct Mistake {
    std::string name;
    std::string duty;
    std::string states;  // besides "on" and "off"
    Cause cause;
    std::string under;  // the characters that the caret stands under
    std::string told;   // message and remedy hold all of it
};

void PrintTo(const Mistake& mistake, std::ostream* out) {
    *out << mistake.name;
}

class BadDuty : public testing::TestWithParam<Mistake> {};

TEST_P(BadDuty, IsToldWithPlaceAndRemedy) {
    const Mistake& m = GetParam();
    const auto link = link_from(
        with(with(plain_link(), "[input]", "[surroundings]\nduty = " + m.duty + "\n[input]"),
             "off = { S1 = \"open\" }\n", "off = { S1 = \"open\" }\n" + m.states));
    ASSERT_FALSE(link) << "nothing was told";
    ASSERT_EQ(link.error().size(), 1U) << to_text(link.error());
    const Diagnostic& found = link.error().front();
    EXPECT_EQ(found.cause, m.cause) << to_text(found);
    EXPECT_NE(to_text(found).find(m.told), std::string::npos) << to_text(found);
    EXPECT_FALSE(found.remedy.empty()) << to_text(found);
    const Place& place = found.place;
    EXPECT_EQ(std::string(place.text->text().substr(place.begin, place.end - place.begin)),
              m.under);
}

const std::string day = "day = {}\n";
const Mistake mistakes[] = {
    {"OneFigureForThreeStates", "\"5 %\"", day, Cause::contradiction, "\"5 %\"",
     "duty = { on = \"5 %\", off = \"47.5 %\", day = \"47.5 %\" }"},
    {"MissingState", "{ on = \"5 %\", off = \"60 %\" }", day, Cause::missing_key,
     "{ on = \"5 %\", off = \"60 %\" }", "state day"},
    {"MissingStateRemedy", "{ on = \"5 %\", off = \"60 %\" }", day, Cause::missing_key,
     "{ on = \"5 %\", off = \"60 %\" }", "add day = \"35 %\""},
    {"UnknownState", "{ on = \"5 %\", off = \"60 %\", of = \"1 %\" }", "", Cause::unknown_name,
     "of", "did you mean \"off\""},
    {"BelowZero", "{ on = \"-5 %\", off = \"60 %\" }", "", Cause::out_of_range, "\"-5 %\"",
     "must lie between 0 and 100 %"},
    {"AboveAll", "{ on = \"5 %\", off = \"160 %\" }", "", Cause::out_of_range, "\"160 %\"",
     "must lie between 0 and 100 %"},
    {"SingleAboveAll", "\"105 %\"", "", Cause::out_of_range, "\"105 %\"",
     "must lie between 0 and 100 %"},
    {"SumAboveAll", "{ on = \"45 %\", off = \"60 %\" }", "", Cause::contradiction,
     "{ on = \"45 %\", off = \"60 %\" }", "105 % together"},
    {"SumALittleAbove", "{ on = \"40 %\", off = \"60.000001 %\" }", "", Cause::contradiction,
     "{ on = \"40 %\", off = \"60.000001 %\" }", "100.000001 % together"},
    {"Range", "\"5 .. 8 %\"", "", Cause::contradiction, "\"5 .. 8 %\"", "one figure"},
    {"RangeInATable", "{ on = \"5 .. 8 %\", off = \"60 %\" }", "", Cause::contradiction,
     "\"5 .. 8 %\"", "one figure"},
};
INSTANTIATE_TEST_SUITE_P(Mistakes, BadDuty, testing::ValuesIn(mistakes),
                         [](const auto& tested) { return tested.param.name; });

}  // namespace
}  // namespace gapwright
