// The arithmetic of series resistors as a person would write it.
#include "proof/worked_steps.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "population/specimen.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

std::vector<WorkedSteps> steps_of(const std::string& text) {
    const auto link = link_from(text);
    EXPECT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    const auto specimen = nominal_specimen(*circuit, condition_ranges(*link));
    const auto points = solve_link(circuit->circuit, specimen.values, specimen.conditions);
    EXPECT_TRUE(points);
    return worked_steps(*link, *circuit, *points);
}

const WorkedSteps& of(const std::vector<WorkedSteps>& all, std::string_view resistors) {
    const auto found = std::ranges::find(all, resistors, &WorkedSteps::resistors);
    EXPECT_NE(found, all.end()) << resistors;
    return *found;
}

std::string joined(const WorkedSteps& steps) {
    std::string text;
    for (const auto& line : steps.lines) text += line + "\n";
    return text;
}

// "… = 3.823 V" and then "3.823 V / 22 kΩ": whoever follows with a pencil must not stumble.
TEST(WorkedSteps, OfEveryExampleGoOnWithTheirOwnSum) {
    std::size_t looked_at = 0;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (!entry.path().string().ends_with(".link.toml")) continue;
        const auto link = read_link_file(entry.path().string());
        ASSERT_TRUE(link) << entry.path();
        const auto circuit = build_circuit(*link);
        const auto specimen = nominal_specimen(*circuit, condition_ranges(*link));
        const auto points = solve_link(circuit->circuit, specimen.values, specimen.conditions);
        ASSERT_TRUE(points);
        for (const auto& steps : worked_steps(*link, *circuit, *points)) {
            const auto check =
                std::ranges::find(steps.lines, "with the value used, at the solved point:");
            ASSERT_LT(steps.lines.end() - check, 1000);
            ASSERT_GE(steps.lines.end() - check, 3);
            const std::string sum = check[1];
            const auto equals = sum.rfind(" = ");
            if (equals == std::string::npos) continue;  // "707 mV over the resistor"
            const std::string across = sum.substr(equals + 3);
            const auto divided = std::ranges::find_if(check, steps.lines.end(), [](const auto& l) {
                return l.find(" / ") != std::string::npos;
            });
            ASSERT_NE(divided, steps.lines.end());
            EXPECT_EQ(divided->find("  " + across + " / "), 0U)
                << entry.path() << ", " << steps.resistors << ":\n"
                << joined(steps);
            ++looked_at;
        }
    }
    EXPECT_GE(looked_at, 10U);
}

TEST(SeriesSum, IsWrittenLineByLine) {
    const auto sum = series_resistance(9, {{"D1", 2.0}, {"U1", 1.2}}, 20e-3);
    EXPECT_NEAR(sum.across, 5.8, 1e-12);
    EXPECT_NEAR(sum.resistance, 290, 1e-9);
    ASSERT_EQ(sum.lines.size(), 2U);
    EXPECT_EQ(sum.lines[0], "9 V − 2 V (D1) − 1.2 V (U1) = 5.8 V");
    EXPECT_EQ(sum.lines[1], "5.8 V / 20 mA = 290 Ω");
}

TEST(SeriesSum, SaysWhenNothingIsLeft) {
    const auto sum = series_resistance(2, {{"D1", 3.0}}, 20e-3);
    EXPECT_LT(sum.resistance, 0);
    EXPECT_NE(sum.lines.back().find("leave nothing"), std::string::npos);
}

TEST(SeriesSum, ANegativeDropAdds) {
    EXPECT_EQ(series_resistance(5, {{"B1", -1.5}}, 1e-3).lines[0], "5 V + 1.5 V (B1) = 6.5 V");
}

TEST(SeriesCheck, CurrentAndPower) {
    const auto check = series_check(5.8, 292);
    EXPECT_NEAR(check.current, 19.863e-3, 1e-6);
    EXPECT_NEAR(check.power, 5.8 * 5.8 / 292, 1e-12);
    EXPECT_EQ(check.lines[0], "5.8 V / 292 Ω = 19.86 mA");
}

TEST(WorkedSteps, StatedFiguresFirstThenTheSolvedPoint) {
    const auto all = steps_of(with(plain_link(), "U1 = { card = \"four-pin-coupler-b\"",
                                   "U1 = { kind = \"coupler\", forward = \"1.2 V at 20 mA\""));
    const auto text = joined(of(all, "R1"));
    EXPECT_NE(text.find("for 20 mA, where the forward voltage of U1 is stated"), std::string::npos)
        << text;
    EXPECT_NE(text.find("9 V − 1.2 V (U1) = 7.8 V"), std::string::npos) << text;
    EXPECT_NE(text.find("7.8 V / 20 mA = 390 Ω"), std::string::npos) << text;
    EXPECT_NE(text.find("390 Ω is a value of E24"), std::string::npos) << text;
    EXPECT_NE(text.find("/ 1 kΩ = "), std::string::npos) << text;
    EXPECT_EQ(of(all, "R1").state, "on");
}

TEST(WorkedSteps, ResistorsInSeriesAreOneSum) {
    const auto all = steps_of(with(
        with(plain_link(), "supply > S1 > R1 > U1 > return", "supply > S1 > R1 > U1 > R9 > return"),
        "[states]", "R9 = { kind = \"resistor\", value = \"22 Ω\" }\n[states]"));
    const auto text = joined(of(all, "R1 + R9"));
    EXPECT_NE(text.find("1 kΩ + 22 Ω = 1.022 kΩ"), std::string::npos) << text;
}

TEST(WorkedSteps, AStringEndsWhereAThirdPartTouches) {
    const auto all = steps_of(plain_link());
    const auto text = joined(of(all, "R2"));
    EXPECT_NE(text.find("(signal)"), std::string::npos) << text;
}

TEST(WorkedSteps, AStringWithoutCurrentIsNotWorkedOut) {
    const auto all =
        steps_of(with(plain_link(), "on = { S1 = \"closed\" }", "on = { S1 = \"open\" }"));
    EXPECT_EQ(std::ranges::find(all, "R1", &WorkedSteps::resistors), all.end());
}

}  // namespace
}  // namespace gapwright
