// Measured points: as spreadsheets write them, as cards hold them, and back.
#include "card/points.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

Expected<PointTable> points_from(const std::string& text) {
    return read_points_csv(std::make_shared<const SourceText>("points.csv", text));
}

// The [[points]] of a card's text.
struct CardPoints {
    std::vector<MeasuredPoint> points;
    Problems problems;
};
CardPoints card_points(const std::string& text) {
    const auto document = read_toml(std::make_shared<const SourceText>("x.card.toml", text));
    CardPoints result;
    if (!document) {
        ADD_FAILURE() << to_text(document.error()) << text;
        return result;
    }
    result.points = read_points(document->root, result.problems);
    return result;
}

// One of each quantity, two specimens, hostile names.
std::vector<MeasuredPoint> made_points() {
    std::vector<MeasuredPoint> points;
    double value = 1.25e-7;
    for (const auto& quantity : point_quantities()) {
        MeasuredPoint point;
        point.values[std::string(quantity.name)] =
            quantity.dimension == Dimension::temperature ? 310.15 : value;
        point.values["forward_current"] = value * 3;
        point.specimen = points.size() % 2 == 0 ? "first" : "second";
        if (points.size() % 3 == 0) point.uncertainty = 0.025;
        if (points.size() % 4 == 0) point.origin = "simulated; \"light\", by a card";
        value *= 13;
        points.push_back(std::move(point));
    }
    return points;
}

void expect_same(const std::vector<MeasuredPoint>& read, const std::vector<MeasuredPoint>& made) {
    ASSERT_EQ(read.size(), made.size());
    for (std::size_t k = 0; k < made.size(); ++k) {
        ASSERT_EQ(read[k].values.size(), made[k].values.size()) << k;
        for (const auto& [quantity, value] : made[k].values) {
            const double* found = read[k].find(quantity);
            ASSERT_TRUE(found) << quantity;
            EXPECT_NEAR(*found, value, std::abs(value) * 1e-6) << quantity;
        }
        ASSERT_EQ(read[k].uncertainty.has_value(), made[k].uncertainty.has_value()) << k;
        EXPECT_NEAR(read[k].uncertainty.value_or(0), made[k].uncertainty.value_or(0), 1e-6);
        EXPECT_EQ(read[k].specimen, made[k].specimen);
        // (a card's text cannot hold quotes)
        std::string origin = made[k].origin;
        if (read[k].origin != origin) std::erase(origin, '"');
        EXPECT_EQ(read[k].origin, origin);
    }
}

TEST(Points, HeaderGivesTheUnitOfPlainNumbersAndCellsMayHaveTheirOwn) {
    const auto table = points_from(
        "forward_current (mA),forward_voltage,temperature (°C),note of the day\r\n"
        "20,1.95 V,25,warm\r\n"
        "0.5 A,980 mV,-10,\"mA, V, °C\"\r\n");
    ASSERT_TRUE(table) << to_text(table.error());
    ASSERT_TRUE(table->skipped.empty()) << to_text(table->skipped);
    ASSERT_EQ(table->points.size(), 2U);
    EXPECT_DOUBLE_EQ(*table->points[0].find("forward_current"), 20e-3);
    EXPECT_DOUBLE_EQ(*table->points[0].find("forward_voltage"), 1.95);
    EXPECT_NEAR(*table->points[0].find("temperature"), 298.15, 1e-9);
    EXPECT_DOUBLE_EQ(*table->points[1].find("forward_current"), 0.5);
    EXPECT_DOUBLE_EQ(*table->points[1].find("forward_voltage"), 0.98);
    EXPECT_NEAR(*table->points[1].find("temperature"), 263.15, 1e-9);
    EXPECT_EQ(table->points[0].values.size(), 3U) << "a note is no quantity";
}

// A class's table has columns of its own; a slip in a name must not lose one.
TEST(Points, ColumnsOfOtherNamesArePassedOverAndNamed) {
    const auto table = points_from(
        "student,forward_current (mA),date,forward_voltage (V),specimen,origin,notes\n"
        "first bench,5,Monday,1.9,A,simulated,\n");
    ASSERT_TRUE(table) << to_text(table.error());
    EXPECT_EQ(table->ignored, (std::vector<std::string>{"student", "date"}));
    ASSERT_EQ(table->points.size(), 1U);
    EXPECT_EQ(table->points[0].values.size(), 2U);
    EXPECT_EQ(table->points[0].specimen, "A");
    EXPECT_EQ(table->points[0].origin, "simulated");

    for (const char* slip : {"forward_curent (mA)", "Specimen", "uncertanty"}) {
        const auto slipped = points_from(std::string(slip) + ",forward_voltage\n5 mA,1.9 V\n");
        ASSERT_FALSE(slipped) << slip;
        EXPECT_EQ(slipped.error()[0].cause, Cause::unknown_key);
        EXPECT_NE(slipped.error()[0].message.find("did you mean"), std::string::npos);
    }
    const auto none = points_from("student,date\nfirst,Monday\n");
    ASSERT_FALSE(none);
    EXPECT_EQ(none.error()[0].cause, Cause::unknown_key);
}

TEST(Points, SemicolonsDecimalCommasAndAByteOrderMarkAreASpreadsheets) {
    const auto table = points_from(
        "\xEF\xBB\xBF"
        "illuminance (lx);resistance (kΩ);uncertainty;specimen\r\n"
        "10;9,5;2,5 %;west, upper\r\n"
        "100;1,8;;west, upper\r\n");
    ASSERT_TRUE(table) << to_text(table.error());
    ASSERT_TRUE(table->skipped.empty()) << to_text(table->skipped);
    ASSERT_EQ(table->points.size(), 2U);
    EXPECT_DOUBLE_EQ(*table->points[0].find("resistance"), 9500);
    EXPECT_DOUBLE_EQ(*table->points[0].uncertainty, 0.025);
    EXPECT_FALSE(table->points[1].uncertainty);
    EXPECT_EQ(table->points[0].specimen, "west, upper") << "a name is no number";
}

TEST(Points, TabsSeparateToo) {
    const auto table = points_from("forward_current (mA)\tforward_voltage (V)\n20\t2,1\n");
    ASSERT_TRUE(table) << to_text(table.error());
    ASSERT_EQ(table->points.size(), 1U);
    EXPECT_DOUBLE_EQ(*table->points[0].find("forward_voltage"), 2.1);
}

TEST(Points, UnknownColumnIsToldWithWhatWasMeant) {
    const auto table = points_from("forward_curent (mA),forward_voltage (V)\n20,2\n");
    ASSERT_FALSE(table);
    ASSERT_EQ(table.error().size(), 1U);
    EXPECT_EQ(table.error()[0].cause, Cause::unknown_key);
    EXPECT_NE(table.error()[0].message.find("did you mean \"forward_current\""), std::string::npos)
        << table.error()[0].message;
}

TEST(Points, WrongUnitOfAColumnIsToldAtTheHeader) {
    const auto table = points_from("forward_current (mV),forward_voltage (V)\n20,2\n");
    ASSERT_FALSE(table);
    ASSERT_EQ(table.error().size(), 1U);
    EXPECT_EQ(table.error()[0].cause, Cause::wrong_unit);
    EXPECT_NE(to_text(table.error()).find("points.csv:1:1:"), std::string::npos)
        << to_text(table.error());
}

TEST(Points, BadRowIsSkippedAndToldWithItsLine) {
    const auto table = points_from(
        "forward_current (mA),forward_voltage (V)\n"
        "20,2\n"
        "30,much\n"
        "40\n"
        "50 V,2\n"
        "60,2.2\n");
    ASSERT_TRUE(table) << to_text(table.error());
    ASSERT_EQ(table->points.size(), 2U);
    EXPECT_DOUBLE_EQ(*table->points[1].find("forward_current"), 60e-3);
    ASSERT_EQ(table->skipped.size(), 3U) << to_text(table->skipped);
    const std::string told = to_text(table->skipped);
    for (const auto* line : {"points.csv:3:", "points.csv:4:", "points.csv:5:"}) {
        EXPECT_NE(told.find(line), std::string::npos) << line << "\n" << told;
    }
}

TEST(Points, UncertaintyIsAShareAboveZeroAndUpToAll) {
    const auto table = points_from(
        "illuminance (lx),resistance (kΩ),uncertainty\n"
        "10,10,100 %\n10,10,0\n10,10,-2 %\n10,10,101 %\n10,10,0.05\n10,10,2 V\n");
    ASSERT_TRUE(table) << to_text(table.error());
    ASSERT_EQ(table->points.size(), 2U) << to_text(table->skipped);
    EXPECT_DOUBLE_EQ(*table->points[0].uncertainty, 1.0);
    EXPECT_DOUBLE_EQ(*table->points[1].uncertainty, 0.05);
    EXPECT_EQ(table->skipped.size(), 4U);
}

TEST(Points, EmptyCellsStateNothing) {
    const auto table =
        points_from("forward_current (mA),forward_voltage (V),ctr\n20,2,\n20,,90 %\n");
    ASSERT_TRUE(table) << to_text(table.error());
    ASSERT_EQ(table->points.size(), 2U);
    EXPECT_FALSE(table->points[0].find("ctr"));
    EXPECT_FALSE(table->points[1].find("forward_voltage"));
    EXPECT_DOUBLE_EQ(*table->points[1].find("ctr"), 0.9);
}

TEST(Points, EmptyAndBrokenFilesAreRefused) {
    EXPECT_EQ(points_from("").error().at(0).cause, Cause::not_csv);
    EXPECT_EQ(points_from("resistance\n\xFF").error().at(0).cause, Cause::invalid_utf8);
}

TEST(Points, AreReadBackFromTheCsvThatTheyAreWrittenAs) {
    const auto made = made_points();
    const auto table = points_from(points_csv(made));
    ASSERT_TRUE(table) << to_text(table.error());
    EXPECT_TRUE(table->skipped.empty()) << to_text(table->skipped);
    expect_same(table->points, made);
}

TEST(Points, AreReadBackFromTheCardThatTheyAreWrittenInto) {
    const auto made = made_points();
    const auto read = card_points(points_toml(made));
    EXPECT_TRUE(read.problems.empty()) << to_text(read.problems);
    expect_same(read.points, made);
}

TEST(Points, CsvQuotesWhateverASpecimenIsCalled) {
    auto made = made_points();
    made[0].specimen = "the \"good\" one, of the tin";
    made[1].specimen = "two\nlines";
    const auto table = points_from(points_csv(made));
    ASSERT_TRUE(table) << to_text(table.error());
    EXPECT_TRUE(table->skipped.empty()) << to_text(table->skipped);
    expect_same(table->points, made);
}

TEST(Points, HostileNamesLeaveACardValid) {
    for (const std::string name : {"\"\n[limits]\npower = \"9 W", "back\\slash", "\"\"\"",
                                   "tab\tbell\a", "\x7f", "'", "# no comment", "µ–Ω"}) {
        auto made = made_points();
        made[0].specimen = name;
        const auto read = card_points(points_toml(made));
        EXPECT_TRUE(read.problems.empty()) << to_text(read.problems);
        ASSERT_EQ(read.points.size(), made.size()) << name;
        EXPECT_EQ(read.points[0].values.size(), made[0].values.size()) << name;
        EXPECT_EQ(read.points[1].specimen, made[1].specimen) << name;
    }
}

TEST(Points, OfACardTellWhatIsWrongWithThem) {
    const auto no_list = card_points("points = \"none\"\n");
    ASSERT_EQ(no_list.problems.size(), 1U);
    EXPECT_EQ(no_list.problems[0].cause, Cause::wrong_type);
    const auto plain = card_points("points = [1, 2]\n");
    EXPECT_EQ(plain.problems.size(), 2U) << to_text(plain.problems);
    const auto wrong = card_points(
        "[[points]]\nforward_curent = \"20 mA\"\nforward_voltage = 2\ntemperature = \"25 V\"\n");
    ASSERT_EQ(wrong.problems.size(), 3U) << to_text(wrong.problems);
    EXPECT_EQ(wrong.problems[0].cause, Cause::unknown_key);
    EXPECT_EQ(wrong.problems[1].cause, Cause::wrong_type);
    EXPECT_EQ(wrong.problems[2].cause, Cause::wrong_unit);
    EXPECT_TRUE(card_points("kind = \"led\"\n").points.empty());
}

TEST(PointsCsv, RowsWithoutAnyQuantityAreSkippedAndTold) {
    const auto table = read_points_csv(std::make_shared<const SourceText>(
        "points.csv",
        "forward_current (mA),forward_voltage (V),note\n20,2.01,\n,,lost\n10,1.93,\n"));
    ASSERT_TRUE(table);
    EXPECT_EQ(table->points.size(), 2U);
    ASSERT_EQ(table->skipped.size(), 1U);
    EXPECT_NE(to_text(table->skipped).find("points.csv:3"), std::string::npos);
}

}  // namespace
}  // namespace gapwright
