// `gapwright card trace` as people run it: a family of which some curves cannot be read, a picture
// taken at an angle, marks beside their lines.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "support/run_program.hpp"

namespace gapwright::testing_support {
namespace {

using Json = nlohmann::json;

std::string chart(const std::string& name) {
    return " '" PROJECT_FOLDER "/tests/app/charts/" + name + "'";
}

const std::string output_axes =
    " --x collector_emitter_voltage --y collector_current --x-mark '0 V at 83,418' "
    "--x-mark '10 V at 608,418' --y-mark '0 mA at 83,418' --y-mark '35 mA at 83,34'";

TEST(CardTrace, WritesTheCurvesOfAFamilyThatCouldBeRead) {
    const ScratchFolder folder;
    const auto run = run_program("card trace" + chart("family5-colour.png") + output_axes +
                                     " --curve '345,391; forward_current = 2 mA'"
                                     " --curve '345,300; forward_current = 5 mA'"
                                     " --curve '345,263; forward_current = 10 mA' -o points.csv",
                                 folder.path());
    EXPECT_EQ(run.exit_status, 3) << run.err;
    EXPECT_NE(run.err.find("curve 2, forward_current = 5 mA: there is no ink at 4.9"),
              std::string::npos)
        << run.err;
    EXPECT_NE(run.err.find("(pixel 345, 300)"), std::string::npos) << run.err;
    EXPECT_NE(run.err.find("1 of 3 curves could not be read"), std::string::npos) << run.err;
    const std::string points = text_of_file(folder.path() / "points.csv");
    EXPECT_NE(points.find("uncertainty (%),shared_uncertainty (%),curve\r\n"), std::string::npos);
    EXPECT_NE(points.find(",1\r\n"), std::string::npos);
    EXPECT_EQ(points.find(",2\r\n"), std::string::npos);
    EXPECT_NE(points.find(",3\r\n"), std::string::npos);
}

TEST(CardTrace, WritesNothingWhereNoCurveCouldBeRead) {
    const ScratchFolder folder;
    const auto run = run_program(
        "card trace" + chart("legend-over.png") + output_axes + " --curve 317,266 -o points.csv",
        folder.path());
    EXPECT_EQ(run.exit_status, 3);
    EXPECT_NE(run.err.find("a legend's sample, not a curve"), std::string::npos) << run.err;
    EXPECT_FALSE(std::filesystem::exists(folder.path() / "points.csv"));
}

// Curves that a legend lies upon are followed behind it, not into it.
TEST(CardTrace, IsNotLedAwayByALegend) {
    const ScratchFolder folder;
    const auto run = run_program("card trace" + chart("legend-over.png") + output_axes +
                                     " --curve 205,268 --curve 205,198 --json",
                                 folder.path());
    EXPECT_EQ(run.exit_status, 0) << run.err;
    const Json answer = Json::parse(run.out);
    ASSERT_EQ(answer["curves"].size(), 2U);
    for (const Json& curve : answer["curves"]) {
        double last = 0;
        for (const Json& point : curve["points"]) {
            const double current = point["collector_current"];
            EXPECT_GE(current, last);  // they rise throughout, and so the legend's lines do not
            last = current;
        }
        EXPECT_GT(curve["points"].back()["collector_emitter_voltage"].get<double>(), 9.5);
    }
}

TEST(CardTrace, TellsThatAPictureWasTakenAtAnAngle) {
    const ScratchFolder folder;
    const std::string what = "card trace" + chart("persp10.png") +
                             " --x forward_current --x-log --y ctr --curve 350,170 --json";
    const auto two = run_program(what +
                                     " --x-mark '0.1 mA at 91,408' --x-mark '100 mA at 611,400'"
                                     " --y-mark '0 % at 91,408' --y-mark '200 % at 132,51'",
                                 folder.path());
    const auto four =
        run_program(what +
                        " --mark '0.1 mA, 0 % at 91,408' --mark '100 mA, 0 % at 611,400'"
                        " --mark '0.1 mA, 200 % at 132,51' --mark '100 mA, 200 % at 594,39'",
                    folder.path());
    EXPECT_NE(two.err.find("the picture was taken at an angle"), std::string::npos) << two.err;
    EXPECT_EQ(four.err.find("angle"), std::string::npos) << four.err;
    const Json crooked = Json::parse(two.out), right = Json::parse(four.out);
    EXPECT_EQ(crooked["cautions"].size(), 1U);
    EXPECT_EQ(right["cautions"].size(), 0U);
    const auto shared = [](const Json& answer) {
        double most = 0;
        for (const Json& point : answer["curves"][0]["points"]) {
            most = std::max(most, point["shared_error"].get<double>());
        }
        return most;
    };
    EXPECT_GT(shared(crooked), 5 * shared(right));
}

TEST(CardTrace, SaysHowFarMarksAreMoved) {
    const ScratchFolder folder;
    const std::string what = "card trace" + chart("family5-colour.png") +
                             " --x collector_emitter_voltage --y collector_current --x-mark "
                             "'0 V at 83,418' --x-mark '10 V at 610,418' --y-mark '0 mA at 83,418' "
                             "--y-mark '35 mA at 83,34' --curve 345,391";
    EXPECT_NE(run_program(what, folder.path()).err.find("10.0 V at 610,418 by 2."),
              std::string::npos);
    EXPECT_EQ(run_program(what + " --as-marked", folder.path()).err.find("moved"),
              std::string::npos);
}

TEST(CardTrace, AsksForWhatAMarkLacks) {
    const ScratchFolder folder;
    const std::string what = "card trace" + chart("family5-colour.png") +
                             " --x collector_emitter_voltage --y collector_current --curve 345,391";
    for (const auto& [marks, told] :
         {std::pair{" --mark '0 V at 83,418'", "has one value, not two"},
          std::pair{" --mark '0 V, 0 mA'", "does not say where"},
          std::pair{" --mark '0 V, 0 mA at 83,418'", "an axis has two marks"},
          std::pair{" --mark '0 V, 0 mA at 83,418' --mark '10 V, 35 mA at 608,34'",
                    "almost in one direction"}}) {
        const auto run = run_program(what + marks, folder.path());
        EXPECT_EQ(run.exit_status, 2) << marks;
        EXPECT_NE(run.err.find(told), std::string::npos) << run.err;
    }
}

}  // namespace
}  // namespace gapwright::testing_support
