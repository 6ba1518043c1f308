// The JSON document has the shape that docs/files.md promises.
#include "report/json/verdict_json.hpp"
#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

nlohmann::json json_of(const std::string& text, const ProofOptions& options) {
    const auto link = link_from(text);
    EXPECT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    const auto proof = prove(*link, *circuit, options);
    return nlohmann::json::parse(verdict_json(*link, *proof));
}

TEST(VerdictJson, HasEveryContractedKey) {
    const auto json = json_of(
        with(plain_link(), "[input]", "[surroundings]\ntemperature = \"-10 .. 45 °C\"\n[input]"),
        {.samples = 200, .seed = 3});
    for (const char* key :
         {"title", "verdict", "states", "promises", "ratings", "cautions", "seed"}) {
        EXPECT_TRUE(json.contains(key)) << key;
    }
    EXPECT_EQ(json["title"], "Plain");
    EXPECT_EQ(json["seed"], 3);
    const auto& on = json["states"]["on"];
    for (const char* part : {"S1", "R1", "U1", "U1.receiver", "R2", "L1"}) {
        EXPECT_TRUE(on["currents"].contains(part)) << part;
    }
    for (const char* node : {"input.supply", "output.supply", "output.signal"}) {
        EXPECT_TRUE(on["voltages"].contains(node)) << node;
    }
    EXPECT_NEAR(on["powers"]["R1"].get<double>(),
                1000 * std::pow(on["currents"]["R1"].get<double>(), 2), 1e-12);
    const auto& promise = json["promises"][0];
    for (const char* key :
         {"state", "quantity", "at_most", "nominal", "lowest", "highest", "lowest_case",
          "highest_case", "share_kept", "share_kept_low95", "samples", "verdict"}) {
        EXPECT_TRUE(promise.contains(key)) << key;
    }
    EXPECT_EQ(promise["quantity"], "voltage signal");
    EXPECT_EQ(promise["samples"], 200);
    // °C at the rim, not kelvin.
    const double temperature = promise["highest_case"]["temperature"];
    EXPECT_TRUE(temperature >= -10.001 && temperature <= 45.001) << temperature;
    const auto& rating = json["ratings"][0];
    for (const char* key : {"state", "part", "limit", "bound", "nominal", "highest", "verdict"}) {
        EXPECT_TRUE(rating.contains(key)) << key;
    }
}

// Ten years are 87 660 h: 315 576 000 s.
TEST(VerdictJson, EmittersHoursByState) {
    const auto aged = [](const std::string& duty) {
        return json_of(with(plain_link(), "[input]",
                            "[surroundings]\nservice = \"10 years\"\n" + duty + "[input]"),
                       {.samples = 20});
    };
    EXPECT_TRUE(json_of(plain_link(), {.samples = 20})["emitters"].empty());
    const auto shared = aged("duty = { on = \"5 %\", off = \"60 %\" }\n")["emitters"].at(0);
    EXPECT_EQ(shared["name"], "U1");
    EXPECT_NEAR(shared["states"]["on"]["share"].get<double>(), 0.05, 1e-12);
    EXPECT_NEAR(shared["states"]["on"]["time"].get<double>(), 15778800, 1e-3);
    EXPECT_NEAR(shared["states"]["off"]["time"].get<double>(), 189345600, 1e-3);
    EXPECT_NEAR(shared["states"]["on"]["current"].get<double>(), 7.8e-3, 0.2e-3);
    EXPECT_LT(shared["states"]["off"]["current"].get<double>(), 1e-6);
    EXPECT_NEAR(shared["without_supply"].get<double>(), 0.35, 1e-12);
    const auto unknown = aged("")["emitters"].at(0);
    EXPECT_TRUE(unknown["states"]["on"]["share"].is_null());
    EXPECT_TRUE(unknown["states"]["on"]["time"].is_null());
    // What is not known fades more; as much as a duty of all the time.
    const auto always = aged("duty = \"100 %\"\n")["emitters"].at(0);
    EXPECT_EQ(unknown["light_left"], always["light_left"]);
    EXPECT_LT(unknown["light_left"].get<double>(), shared["light_left"].get<double>());
    EXPECT_LE(always["light_left_hot"].get<double>(), always["light_left"].get<double>());
}

TEST(VerdictJson, WhatMattersIsSharedOutAndRanked) {
    const auto json = json_of(plain_link(), {.samples = 200});
    const auto& matters = json["promises"][0]["what_matters"];
    ASSERT_FALSE(matters.empty());
    double sum = 0;
    double last = 1;
    for (const auto& one : matters) {
        const double share = one["share"];
        EXPECT_LE(share, last);
        EXPECT_GE(share, 0.01);
        last = share;
        sum += share;
        if (!one.contains("grade")) continue;
        // A better grade never makes the worst case worse here: the promise is an upper bound.
        EXPECT_LE(one["worst"].get<double>(), json["promises"][0]["highest"].get<double>() + 1e-9)
            << one["name"];
    }
    EXPECT_LE(sum, 1 + 1e-9);
    EXPECT_GT(sum, 0.8);
    EXPECT_TRUE(
        json_of(plain_link(), {.nominal_only = true})["promises"][0]["what_matters"].empty());
}

TEST(VerdictJson, StretchOfEachBoundAndTheLeastOfAll) {
    const auto json = json_of(plain_link(), {.samples = 20});
    double least = 1e9;
    for (const char* list : {"promises", "ratings"}) {
        for (const auto& one : json[list]) {
            // Of an assumed limit no stretch is told.
            if (one.contains("limit_stated") && !one["limit_stated"].get<bool>()) {
                EXPECT_TRUE(one["stretch"].is_null()) << one.dump();
                continue;
            }
            ASSERT_TRUE(one["stretch"].is_object()) << one.dump();
            EXPECT_EQ(one["stretch"].size(), 3U);
            EXPECT_TRUE(one["stretch"]["beyond"].is_boolean());
            EXPECT_TRUE(one["stretch"].contains("through"));
            least = std::min(least, one["stretch"]["factor"].get<double>());
        }
    }
    EXPECT_EQ(json["stretch"]["factor"], least);
    EXPECT_EQ(json["stretch"].size(), 5U);
    // The bound that it is about is one of those above.
    const std::string what = json["stretch"]["what"];
    const auto is_about = [&](const nlohmann::json& one) {
        return one.contains("quantity")
                   ? one["quantity"] == what
                   : one["part"].get<std::string>() + " " + one["limit"].get<std::string>() == what;
    };
    const auto about_any = [&](const nlohmann::json& list) {
        return std::ranges::any_of(list, [&](const nlohmann::json& one) {
            return is_about(one) && one["state"] == json["stretch"]["state"] &&
                   one["stretch"]["factor"] == least;
        });
    };
    EXPECT_TRUE(about_any(json["promises"]) || about_any(json["ratings"])) << what;
}

// A light-dependent resistor without limits burns: nobody has said that it does.
TEST(VerdictJson, AnAssumedLimitSaysSoAndWhatWouldSettleIt) {
    const auto json = json_of(testing_support::unrated_link(), {.samples = 20});
    std::size_t unknown = 0;
    for (const auto& rating : json["ratings"]) {
        EXPECT_EQ(rating.contains("reason"), rating["verdict"] == "unknown") << rating.dump();
        if (rating["part"] != "U1.receiver" || rating["limit"] != "power") continue;
        EXPECT_FALSE(rating["limit_stated"].get<bool>());
        EXPECT_TRUE(rating["stretch"].is_null());
        if (rating["verdict"] != "unknown") continue;
        ++unknown;
        EXPECT_TRUE(rating["reason"].get<std::string>().starts_with("state U1's receiver power"))
            << rating["reason"];
    }
    EXPECT_GT(unknown, 0U) << json["ratings"].dump(1);
}

TEST(VerdictJson, WithoutAProofThereIsNoShareAndNoStretch) {
    const auto json = json_of(plain_link(), {.nominal_only = true});
    EXPECT_TRUE(json["stretch"].is_null());
    EXPECT_TRUE(json["promises"][0]["stretch"].is_null());
    EXPECT_TRUE(json["ratings"][0]["stretch"].is_null());
    EXPECT_TRUE(json["promises"][0]["share_kept"].is_null());
    EXPECT_EQ(json["promises"][0]["lowest"], json["promises"][0]["nominal"]);
}

TEST(VerdictJson, AnyTitleSurvives) {
    const auto json = json_of(with(plain_link(), "\"Plain\"", "\"<b> \\\"&\\u202e\\u0001 Ω\""),
                              {.nominal_only = true});
    EXPECT_EQ(json["title"], "<b> \"&\u202e\u0001 Ω");
}

}  // namespace
}  // namespace gapwright
