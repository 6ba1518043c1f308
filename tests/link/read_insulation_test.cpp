// [insulation] as read, and its mistakes told with cause, place and remedy.
#include <gtest/gtest.h>

#include "link/need.hpp"
#include "support/told_mistake.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::Mistake;
using testing_support::plain_link;
using testing_support::with;

const char* const table = R"([insulation]
grade = "reinforced"
mains = "230 V"
overvoltage_category = "III"
pollution_degree = 3
material_group = "II"
)";

TEST(InsulationTable, IsRead) {
    const auto link = link_from(plain_link() + table);
    ASSERT_TRUE(link) << to_text(link.error());
    ASSERT_TRUE(link->insulation);
    EXPECT_EQ(link->insulation->grade, Insulation::Grade::reinforced);
    EXPECT_EQ(link->insulation->mains, 230);
    EXPECT_EQ(link->insulation->overvoltage_category, 3);
    EXPECT_EQ(link->insulation->pollution_degree, 3);
    EXPECT_EQ(link->insulation->group, Insulation::Group::ii);
}

TEST(InsulationTable, HasDefaultsForAllOfItsKeys) {
    const auto link = link_from(plain_link() + "[insulation]\n");
    ASSERT_TRUE(link) << to_text(link.error());
    ASSERT_TRUE(link->insulation);
    EXPECT_EQ(link->insulation->grade, Insulation::Grade::basic);
    EXPECT_FALSE(link->insulation->mains);
    EXPECT_EQ(link->insulation->overvoltage_category, 2);
    EXPECT_EQ(link->insulation->pollution_degree, 2);
    EXPECT_EQ(link->insulation->group, Insulation::Group::iiia);
}

TEST(InsulationTable, MayBeMissing) {
    const auto link = link_from(plain_link());
    ASSERT_TRUE(link) << to_text(link.error());
    EXPECT_FALSE(link->insulation);
}

TEST(InsulationTable, ReadsEveryWord) {
    const std::pair<const char*, Insulation::Group> groups[] = {{"I", Insulation::Group::i},
                                                                {"II", Insulation::Group::ii},
                                                                {"IIIa", Insulation::Group::iiia},
                                                                {"IIIb", Insulation::Group::iiib}};
    for (const auto& [word, group] : groups) {
        const auto link = link_from(plain_link() + "[insulation]\nmaterial_group = \"" + word +
                                    "\"\nmains = \"1 kV\"\n");
        ASSERT_TRUE(link) << to_text(link.error());
        EXPECT_EQ(link->insulation->group, group) << word;
    }
    const std::pair<const char*, int> categories[] = {{"I", 1}, {"II", 2}, {"III", 3}, {"IV", 4}};
    for (const auto& [word, category] : categories) {
        const auto link = link_from(plain_link() + "[insulation]\ngrade = \"functional\"\n" +
                                    "overvoltage_category = \"" + word + "\"\n");
        ASSERT_TRUE(link) << to_text(link.error());
        EXPECT_EQ(link->insulation->overvoltage_category, category) << word;
        EXPECT_EQ(link->insulation->grade, Insulation::Grade::functional);
    }
}

class BadInsulation : public testing::TestWithParam<Mistake> {};

TEST_P(BadInsulation, IsToldWithPlaceAndRemedy) {
    testing_support::expect_told(plain_link() + table, GetParam());
}

const Mistake mistakes[] = {
    {"Key", "grade =", "grad =", Cause::unknown_key, "grad", "did you mean \"grade\""},
    {"Grade", "\"reinforced\"", "\"reinforcd\"", Cause::unknown_name, "\"reinforcd\"",
     "did you mean \"reinforced\""},
    {"GradeNumber", "\"reinforced\"", "2", Cause::wrong_type, "2", "grade is a text"},
    {"MainsUnit", "\"230 V\"", "\"230 W\"", Cause::wrong_unit, "230 W", "volts"},
    {"MainsPlain", "\"230 V\"", "230", Cause::missing_unit, "230", "in which unit"},
    {"MainsZero", "\"230 V\"", "\"0 V\"", Cause::out_of_range, "\"0 V\"", "above zero"},
    {"MainsNegative", "\"230 V\"", "\"-230 V\"", Cause::out_of_range, "\"-230 V\"", "above zero"},
    {"MainsTooHigh", "\"230 V\"", "\"1.1 kV\"", Cause::out_of_range, "\"1.1 kV\"",
     "line to neutral"},
    {"Category", "\"III\"", "\"V\"", Cause::unknown_name, "\"V\"", "one of I, II, III, IV"},
    {"CategoryNumber", "\"III\"", "3", Cause::wrong_type, "3", "overvoltage_category is a text"},
    {"PollutionText", "degree = 3", "degree = \"3\"", Cause::wrong_type, "\"3\"",
     "pollution_degree = 2"},
    {"PollutionFraction", "degree = 3", "degree = 2.5", Cause::wrong_type, "2.5", "a whole number"},
    {"PollutionZero", "degree = 3", "degree = 0", Cause::out_of_range, "0", "1, 2 or 3"},
    {"PollutionFour", "degree = 3", "degree = 4", Cause::out_of_range, "4", "2 a room"},
    {"Group", "\"II\"", "\"III\"", Cause::unknown_name, "\"III\"", "one of I, II, IIIa, IIIb"},
    {"NoTable",
     "[insulation]\ngrade = \"reinforced\"\nmains = \"230 V\"\novervoltage_category = \"III\"\n"
     "pollution_degree = 3\nmaterial_group = \"II\"\n",
     "[[insulation]]\n", Cause::wrong_type, "[[insulation]]", "[insulation] is a table"},
};

INSTANTIATE_TEST_SUITE_P(All, BadInsulation, testing::ValuesIn(mistakes),
                         [](const auto& tested) { return tested.param.name; });

// A need is refused for it at once, and not once a link is drawn up.
TEST(InsulationTable, IsReadInANeedToo) {
    const std::string need = R"(input.supply = "5 V"
output.supply = "12 V"
[need.drive]
card = "logic-output-5v"
[need.load]
kind = "load"
resistance = "1 kΩ"
current = "5 mA"
[insulation]
grade = "basic"
)";
    const auto read = [](const std::string& text) {
        return read_need(std::make_shared<const SourceText>("test.link.toml", text),
                         "no-such-folder");
    };
    const auto sound = read(need);
    ASSERT_TRUE(sound) << to_text(sound.error());
    const auto wrong = read(with(need, "\"basic\"", "\"basc\""));
    ASSERT_FALSE(wrong);
    EXPECT_NE(to_text(wrong.error()).find("did you mean \"basic\""), std::string::npos);
}

}  // namespace
}  // namespace gapwright
