// The JSON document of a design has the shape that docs/files.md promises.
#include "report/json/design_json.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "support/made_design.hpp"

namespace gapwright {
namespace {

using testing_support::made_design;
using testing_support::made_need_design;

nlohmann::json json_of(const Design& design) {
    return nlohmann::json::parse(design_json(design));
}

void expect_keys(const nlohmann::json& object, const std::vector<const char*>& keys) {
    for (const char* key : keys) EXPECT_TRUE(object.contains(key)) << key;
}

TEST(DesignJson, HasEveryContractedKey) {
    const auto json = json_of(made_need_design());
    expect_keys(json, {"title", "verdict", "stock", "skipped_rows", "drafts", "stopped", "answers",
                       "gaps", "outputs"});
    EXPECT_EQ(json["verdict"], "kept");
    EXPECT_EQ(json["skipped_rows"], 2);
    ASSERT_EQ(json["answers"].size(), 2U);
    EXPECT_EQ(json["answers"][1]["verdict"], "thin");
    const auto& answer = json["answers"][0];
    expect_keys(answer, {"characters",    "input",
                         "gap",           "output",
                         "verdict",       "least_reserve",
                         "limited_by",    "parts",
                         "current",       "values",
                         "chosen",        "paths",
                         "sets_on_offer", "all_looked_at",
                         "helps",         "broken",
                         "unknown",       "link",
                         "check",         "stretch",
                         "when_dead",     "against_practice",
                         "against_first", "not_in_drawer"});
    EXPECT_EQ(answer["when_dead"], nlohmann::json({"off"}));
    EXPECT_EQ(answer["against_practice"][0]["practice"], "base drive");
    EXPECT_EQ(answer["helps"][0]["stretch"], 1.8);
    EXPECT_EQ(json["outputs"][1]["ruled_out"], "the load is on when the input side is dead");
    EXPECT_TRUE(answer["unknown"].empty());
    EXPECT_EQ(answer["characters"], nlohmann::json({"first choice", "fewest parts"}));
    EXPECT_EQ(answer["values"]["R1"], 292.0);
    EXPECT_EQ(answer["paths"]["input"][0], "supply > S1 > R1 > U1 > return");
    EXPECT_EQ(answer["check"]["title"], "Plain");
    expect_keys(answer["limited_by"],
                {"state", "quantity", "promise", "sense", "bound", "value", "reserve", "case"});
    // °C at the rim, not kelvin.
    EXPECT_NEAR(answer["limited_by"]["case"]["temperature"].get<double>(), 45, 1e-9);
    const auto& chosen = answer["chosen"][0];
    expect_keys(chosen, {"part", "value", "lowest", "highest", "made_of", "joint", "ideal",
                         "window", "around", "why"});
    EXPECT_EQ(chosen["joint"], "series");
    EXPECT_EQ(chosen["window"]["from"], 180.3);
    EXPECT_TRUE(chosen["around"][1]["taken"]);
    EXPECT_TRUE(json["gaps"][1]["least_reserve"].is_null());
    EXPECT_EQ(json["gaps"][1]["ruled_out"], "no insulation rating");
}

TEST(DesignJson, SaysWhatWouldSettleWhatIsUnknown) {
    auto design = made_design(Verdict::unknown);
    Proof proof = *design.answers[0].proof;
    proof.promises[0].verdict = Verdict::unknown;
    proof.promises[0].reason = "state U1 gain";
    design.answers[0].proof = std::make_shared<const Proof>(proof);
    const auto json = json_of(design);
    EXPECT_EQ(json["verdict"], "unknown");
    EXPECT_EQ(json["answers"][0]["unknown"],
              nlohmann::json::array({"voltage signal, on: state U1 gain"}));
}

TEST(DesignJson, ALinkHasNoDraft) {
    const auto json = json_of(made_design(Verdict::thin));
    EXPECT_FALSE(json["answers"][0].contains("gap"));
    EXPECT_TRUE(json["gaps"].empty());
}

TEST(DesignJson, WhereNothingHoldsTellsEveryBrokenBound) {
    const auto json = json_of(made_design(Verdict::broken));
    EXPECT_EQ(json["verdict"], "broken");
    const auto& broken = json["answers"][0]["broken"][0];
    EXPECT_EQ(broken["value"], 14.1);
    EXPECT_NEAR(broken["would_hold_with"].get<double>(), 14.1 / 1.1, 1e-12);
    EXPECT_EQ(json_of({})["verdict"], "broken");
}

TEST(DesignJson, WhatIsNotFiniteIsNull) {
    auto design = made_design(Verdict::broken);
    auto& answer = design.answers[0];
    answer.limit.reserve = -std::numeric_limits<double>::infinity();
    answer.values[0].window->holds_from = 2;
    answer.values[0].window->holds_to = 1;
    design.stopped = true;
    const auto json = json_of(design);
    EXPECT_TRUE(json["stopped"]);
    EXPECT_TRUE(json["answers"][0]["least_reserve"].is_null());
    EXPECT_TRUE(json["answers"][0]["chosen"][0]["window"]["from"].is_null());
}

}  // namespace
}  // namespace gapwright
