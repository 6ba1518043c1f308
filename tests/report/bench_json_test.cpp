// Test sheets and verdicts for programs.
#include "report/bench_report.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "bench_made.hpp"

namespace gapwright {
namespace {

using testing_support::made;
using testing_support::Made;
using testing_support::verdict_of;

TEST(BenchJson, HasTheSheet) {
    const Made m = made();
    const auto json = nlohmann::json::parse(bench_json(m.answer()));
    EXPECT_EQ(json["title"], "Plain");
    EXPECT_TRUE(json["verdict"].is_null());
    EXPECT_TRUE(json["next"].is_null());
    EXPECT_TRUE(json["unexplained"].is_null());
    EXPECT_TRUE(json["readings"].empty());
    ASSERT_EQ(json["sheet"].size(), 4U);
    const auto& isolation = json["sheet"][0];
    EXPECT_EQ(isolation["state"], "unpowered");
    EXPECT_EQ(isolation["kind"], "isolation");
    EXPECT_EQ(isolation["unit"], "Ω");
    EXPECT_EQ(isolation["nominal"], "over range");
    EXPECT_EQ(isolation["lowest"], 20e6);
    EXPECT_EQ(isolation["highest"], "over range");
    EXPECT_EQ(isolation["plus"]["name"], "all input nodes together");
    EXPECT_EQ(isolation["minus"]["name"], "all output nodes together");
    EXPECT_EQ(isolation["hints"][0]["highest"], 1.01e6);
    EXPECT_EQ(isolation["hints"][0]["suspects"][0], "the gap leaks");
    const auto& voltage = json["sheet"][2];
    EXPECT_EQ(voltage["measure"], "voltage at signal");
    EXPECT_EQ(voltage["nominal"], 0.12345);
    EXPECT_EQ(voltage["plus"]["pins"], nlohmann::json::array({"U1 pin 4 collector", "R2", "L1"}));
    EXPECT_TRUE(voltage["plus"]["holes"].empty());
    EXPECT_TRUE(voltage["opened"].is_null());
    EXPECT_EQ(voltage["hints"][1]["suspects"][1], "R9 & <b>R8</b> are exchanged");
    EXPECT_TRUE(json["sheet"][3]["opened"].is_string());
    EXPECT_EQ(json["checks"][0], "The emitter points at the receiver.");
    EXPECT_EQ(json["unseen"][0], "R9 & <b>R8</b> are exchanged");
    EXPECT_EQ(json["meter"]["input_resistance"], 10e6);
    EXPECT_EQ(json["meter"]["voltage"]["share"], 0.005);
    EXPECT_EQ(json["temperature"], nlohmann::json::array({15.0, 30.0}));
    EXPECT_EQ(json["age"], 0.0);
}

TEST(BenchJson, HasTheVerdict) {
    const Made m = made();
    BenchAnswer answer = m.answer();
    answer.verdict = verdict_of(m);
    const auto json = nlohmann::json::parse(bench_json(answer));
    EXPECT_EQ(json["verdict"], "faulty");
    ASSERT_EQ(json["readings"].size(), 3U);
    EXPECT_EQ(json["readings"][0]["value"], 5.01);
    EXPECT_EQ(json["readings"][0]["judgement"], "wrong");
    EXPECT_EQ(json["readings"][1]["value"], "over range");
    EXPECT_EQ(json["readings"][1]["judgement"], "in band");
    EXPECT_EQ(json["readings"][2]["state"], "off");
    EXPECT_EQ(json["readings"][2]["lowest"], 4.72);
    EXPECT_EQ(json["suspects"][1]["text"], "R1 is open");
    EXPECT_EQ(json["suspects"][1]["share"], 0.33);
    EXPECT_EQ(json["suspects"][1]["explained"], 2);
    EXPECT_EQ(json["suspects"][1]["readings"], 3);
    EXPECT_EQ(json["suspects"][1]["alike"], true);
    EXPECT_EQ(json["unexplained"], 0.04);
    EXPECT_EQ(json["two_faults"], false);
    EXPECT_EQ(json["next"]["measure"], "voltage across R1");
    EXPECT_EQ(json["next"]["highest"], 5.28);
    EXPECT_EQ(json["next"]["plus"]["name"], "between S1 and R1");
}

}  // namespace
}  // namespace gapwright
