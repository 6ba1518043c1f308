#include "card/drawer.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

Expected<Drawer> drawer_from(const std::string& text) {
    return read_drawer(std::make_shared<const SourceText>("drawer.csv", text));
}

TEST(Drawer, ReadsRowsAndReportsBadOnes) {
    const auto drawer = drawer_from(
        "kind,value,tolerance,power,count,card,note\n"
        "resistor,4k7,5 %,0.25 W,3,,\"left, of the tin\"\r\n"
        "coupler,,,,2,four-pin-coupler-b,\n"
        "\n"
        "resistor,330 V,,,,,\n"
        "resistor,330 Ω,,,many,,\n"
        "thing,330 Ω,,,,,\n"
        "led,330 Ω,,,,,\n"
        "resistor,,,,4,,\n"
        "resistor,1 Ω,5 %\n"
        "resistor,\"1 Ω\"x,,,,,\n"
        "resistor,10 Ω,,,,,\n");
    ASSERT_TRUE(drawer) << to_text(drawer.error());
    ASSERT_EQ(drawer->rows.size(), 3U) << to_text(drawer->skipped);
    EXPECT_DOUBLE_EQ(drawer->rows[0].value->nominal, 4700);
    EXPECT_NEAR(drawer->rows[0].value->lowest, 4465, 1e-9);
    EXPECT_EQ(drawer->rows[0].count, 3U);
    EXPECT_EQ(drawer->rows[0].note, "left, of the tin");
    EXPECT_EQ(drawer->rows[1].card, "four-pin-coupler-b");
    EXPECT_FALSE(drawer->rows[2].count);
    EXPECT_EQ(drawer->skipped.size(), 7U) << to_text(drawer->skipped);
    EXPECT_NE(to_text(drawer->skipped).find("drawer.csv:5:10:"), std::string::npos)
        << to_text(drawer->skipped);
}

TEST(Drawer, TellsWhatToWriteForWhatPeopleWrite) {
    const std::pair<std::string, std::string> rows[] = {
        {"switch,,,,1,x,", "write contact"},
        {"resistor,470,5 %,,,,", "write \"470 Ω\""},
        {"resistor,470 Ω,5,,,,", "write \"5 %\""},
        {"resistor,470 Ω,0.5,,,,", "write \"50 %\" or \"0.5 %\""},
        {"resistor,470 Ω,5 %,1/4 W,,,", "write \"0.25 W\""},
        {"resistor,\"1,500\",5 %,,,,", "write \"1.500 Ω\" or \"1500 Ω\""},
    };
    for (const auto& [row, remedy] : rows) {
        const auto drawer =
            drawer_from("kind,value,tolerance,power,count,card,note\n" + row + "\n");
        ASSERT_TRUE(drawer);
        ASSERT_EQ(drawer->skipped.size(), 1U) << row;
        EXPECT_EQ(drawer->skipped[0].remedy, remedy) << row;
    }
}

TEST(Drawer, ColumnsMayStandInAnyOrderButMustBeKnown) {
    const auto drawer = drawer_from("count,kind,value\n7,resistor,1M0\n");
    ASSERT_TRUE(drawer);
    EXPECT_EQ(drawer->rows.at(0).count, 7U);
    const auto bad = drawer_from("kind,valu\nresistor,1M0\n");
    ASSERT_FALSE(bad);
    EXPECT_EQ(bad.error()[0].cause, Cause::unknown_key);
}

TEST(Drawer, EmptyAndBrokenFilesAreRefused) {
    EXPECT_EQ(drawer_from("").error().at(0).cause, Cause::not_csv);
    EXPECT_EQ(drawer_from("kind\n\xFF").error().at(0).cause, Cause::invalid_utf8);
}

}  // namespace
}  // namespace gapwright
