// A card as the page edits it: judged while it is typed, saved without losing what was not touched.
#include "page_scene.hpp"

namespace gapwright {
namespace {

constexpr const char* vane = R"(# the vane's emitter, third batch
name = "Vane emitter"
kind = "led"
source = "measured by the night shift"

[limits]
forward_current = "100 mA"   # stamped on the drawer

[model]
# read with the bench supply
forward = "1.2 V (1.1 .. 1.35 V) at 20 mA"
ideality = 1.65

[[points]]
forward_current = "1 mA"
forward_voltage = "1.05 V"
)";

class CardQuestions : public testing::Test {
  protected:
    CardQuestions() { scene.write("vane.card.toml", vane); }

    std::string path_of(const std::string& file) { return "/api/cards/" + scene.id_of(file); }
    AskedJson tried(const std::vector<AskedJson>& edits, const std::string& text = vane) {
        return scene.post(path_of("vane.card.toml") + "/try", {{"text", text}, {"edits", edits}});
    }
    static AskedJson edit(const AskedJson& at, const AskedJson& text) {
        return {{"at", at}, {"text", text}};
    }
    static AskedJson field(const AskedJson& view, const std::string& key) {
        for (const auto& group : view["groups"]) {
            for (const auto& one : group["fields"]) {
                if (one["key"] == key) return one;
            }
        }
        return nullptr;
    }
    static AskedJson problem_at(const AskedJson& view, const AskedJson& at) {
        for (const auto& problem : view["problems"]) {
            if (problem["at"] == at) return problem;
        }
        return nullptr;
    }
    // The text with one piece of it put in place of another.
    static std::string with(std::string text, const std::string& piece, const std::string& other) {
        const auto at = text.find(piece);
        EXPECT_NE(at, std::string::npos) << piece;
        return text.replace(at, piece.size(), other);
    }

    PageScene scene;
};

const AskedJson forward = {"model", "forward"};

TEST_F(CardQuestions, EveryKeyOfTheKindIsAField) {
    const AskedJson view = scene.get(path_of("vane.card.toml"));
    EXPECT_EQ(view["kind"], "led");
    EXPECT_EQ(view["groups"][0]["fields"][0]["text"], "Vane emitter");
    EXPECT_EQ(field(view, "source")["text"], "measured by the night shift");
    EXPECT_EQ(field(view, "forward")["text"], "1.2 V (1.1 .. 1.35 V) at 20 mA");
    EXPECT_EQ(field(view, "forward")["origin"], "file");
    EXPECT_EQ(field(view, "series_resistance")["origin"], "assumed");
    EXPECT_NE(field(view, "series_resistance")["text"], "");
    EXPECT_EQ(field(view, "series_resistance")["at"], AskedJson({"model", "series_resistance"}));
    EXPECT_EQ(field(view, "radiant_intensity")["origin"], "absent");
    EXPECT_EQ(field(view, "reverse_voltage")["origin"], "assumed");  // as links assume limits
    EXPECT_EQ(field(view, "reverse_voltage")["text"], "5 V");
    EXPECT_EQ(view["problems"], AskedJson::array());
    EXPECT_FALSE(view["charts"].empty());
}

TEST_F(CardQuestions, AFigureIsJudgedWhileItIsTypedAndNothingElseChanges) {
    const AskedJson before = scene.get(path_of("vane.card.toml"));
    const AskedJson view =
        tried({edit(forward, "1.3 V at 20 mA"), edit({"model", "ideality"}, "2")});
    EXPECT_EQ(view["text"], with(with(vane, "1.2 V (1.1 .. 1.35 V)", "1.3 V"), "ideality = 1.65",
                                 "ideality = 2"));
    EXPECT_EQ(view["problems"], AskedJson::array());
    const auto& chart = view["charts"][0];
    EXPECT_EQ(chart["name"], before["charts"][0]["name"]);
    EXPECT_NE(chart["svg"], before["charts"][0]["svg"]);
    EXPECT_NE(chart["svg"].get<std::string>().find("dashed: before the change"), std::string::npos);
    EXPECT_EQ(scene.read("vane.card.toml"), vane);
    // Words alone move no curve.
    EXPECT_EQ(tried({edit({"source"}, "sheet 4")})["charts"], before["charts"]);
}

TEST_F(CardQuestions, WhatTheCardDoesNotSayIsPutIntoItsGroup) {
    AskedJson view = tried(
        {edit({"model", "series_resistance"}, "2"), edit({"life", "to_80_percent"}, "30000 h")});
    EXPECT_EQ(view["problems"], AskedJson::array()) << view["problems"].dump();
    EXPECT_EQ(view["text"],
              with(vane, "ideality = 1.65\n", "ideality = 1.65\nseries_resistance = \"2 Ω\"\n") +
                  "\n[life]\nto_80_percent = \"30000 h\"\n");
    EXPECT_EQ(field(view, "series_resistance")["origin"], "file");
    // Taken out again, it is assumed.
    view = tried({edit({"model", "ideality"}, nullptr)});
    EXPECT_EQ(view["text"], with(vane, "ideality = 1.65\n", ""));
    EXPECT_EQ(field(view, "ideality")["origin"], "assumed");
}

TEST_F(CardQuestions, AWrongValueIsToldAtItsField) {
    const AskedJson view = tried({edit(forward, "20 mA at 1.2 V"), edit({"source"}, "sheet 4")});
    const AskedJson problem = problem_at(view, forward);
    ASSERT_FALSE(problem.is_null()) << view["problems"].dump();
    EXPECT_NE(problem["remedy"], "");
    EXPECT_EQ(field(view, "forward")["text"], "20 mA at 1.2 V");
    EXPECT_EQ(field(view, "source")["text"], "sheet 4");
    EXPECT_EQ(view["title"], "Vane emitter");
    EXPECT_EQ(view["charts"], AskedJson::array());
    EXPECT_EQ(view["refused"], AskedJson::array());
}

TEST_F(CardQuestions, WhatCanBeReadInTwoWaysIsLeftOutAndSaid) {
    const AskedJson at = {"transfer", "base_share"};  // 50 % or 0.5 %?
    const std::string text = "kind = \"coupler\"\n[transfer]\nctr = \"80 % at 5 mA, 5 V\"\n";
    const AskedJson view =
        tried({edit(at, "0.5"), edit({"transfer", "ctr"}, "90 % at 5 mA, 5 V")}, text);
    EXPECT_EQ(view["text"], with(text, "80 %", "90 %"));
    EXPECT_EQ(view["refused"], AskedJson::array({at}));
    EXPECT_FALSE(problem_at(view, at).is_null());
}

TEST_F(CardQuestions, TextsStayTexts) {
    const AskedJson view = tried({edit({"name"}, "[draft] {vane} \"3\""), edit({"source"}, "7")});
    EXPECT_EQ(view["problems"], AskedJson::array()) << view["problems"].dump();
    EXPECT_EQ(view["title"], "[draft] {vane} \"3\"");
    EXPECT_EQ(field(view, "source")["text"], "7");
}

TEST_F(CardQuestions, ATextThatCannotBeReadHasNoFields) {
    const AskedJson view = tried({edit(forward, "1.25 V at 20 mA")}, "name = ");
    EXPECT_EQ(view["text"], "name = ");
    EXPECT_EQ(view["groups"], AskedJson::array());
    EXPECT_EQ(view["refused"], AskedJson::array({forward}));
    EXPECT_EQ(view["problems"].size(), 1U);
    EXPECT_EQ(view["problems"][0]["line"], 1);
}

TEST_F(CardQuestions, FindingsFollow) {
    const AskedJson view = tried({edit({"model", "ideality"}, "0.4")});
    ASSERT_FALSE(view["findings"].empty());
    EXPECT_EQ(view["findings"][0]["grave"], true);
    EXPECT_EQ(view["charts"], AskedJson::array());  // of what cannot be nothing is drawn
    EXPECT_FALSE(tried({edit({"model", "ideality"}, "1.9")})["charts"].empty());
}

TEST_F(CardQuestions, SpreadsThatStandApartAreFields) {
    const std::string text = std::string(vane) + "[spread]\nideality = \"± 5 %\"\n";
    AskedJson view = tried({}, text);
    EXPECT_EQ(view["groups"].back()["fields"][0]["label"], "spread of ideality");
    view = tried({edit({"spread", "ideality"}, "1.5 - 1.8")}, text);
    EXPECT_EQ(view["text"], with(text, "± 5 %", "1.5 .. 1.8"));
    EXPECT_EQ(view["problems"], AskedJson::array());
}

// What is wrong with another card, or missing altogether, stands at no field of this one.
TEST_F(CardQuestions, ProblemsStandOnlyWhereTheyAre) {
    scene.write("mine.card.toml", "name = \"Mine\"\nbased_on = \"vane\"\n");
    AskedJson view = scene.get(path_of("mine.card.toml"));
    EXPECT_EQ(field(view, "forward")["origin"], "card");
    EXPECT_EQ(field(view, "forward")["text"], "1.2 V (1.1 V … 1.35 V) at 20 mA");
    EXPECT_EQ(field(view, "series_resistance")["origin"], "assumed");
    scene.write("vane.card.toml", with(vane, "100 mA", "100 V"));
    view = scene.get(path_of("mine.card.toml"));
    ASSERT_EQ(view["problems"].size(), 1U);
    EXPECT_TRUE(view["problems"][0]["at"].is_null());
    scene.write("coil.card.toml", "name = \"Coil\"\nkind = \"coil\"\n");
    view = scene.get(path_of("coil.card.toml"));
    ASSERT_FALSE(view["problems"].empty());
    EXPECT_TRUE(view["problems"][0]["at"].is_null());
    EXPECT_EQ(field(view, "resistance")["origin"], "absent");
}

TEST_F(CardQuestions, ACardIsSavedWhereItLiesUnlessItChangedOutside) {
    scene.write("cards/deep.card.toml", vane);
    const std::string save = path_of("cards/deep.card.toml") + "/save";
    const std::string mine = with(vane, "100 mA", "80 mA");
    const AskedJson saved = scene.post(save, {{"text", mine}, {"replaces", vane}});
    EXPECT_EQ(saved["text"], mine);
    EXPECT_EQ(scene.read("cards/deep.card.toml"), mine);
    EXPECT_EQ(scene.read("vane.card.toml"), vane);
    const AskedJson refusal = scene.refused(409, save, {{"text", "x"}, {"replaces", vane}});
    EXPECT_NE(refusal["error"].get<std::string>().find("changed outside"), std::string::npos);
    EXPECT_EQ(scene.read("cards/deep.card.toml"), mine);
    std::filesystem::remove(scene.folder() / "cards/deep.card.toml");
    scene.refused(409, save, {{"text", "x"}, {"replaces", mine}});
    EXPECT_FALSE(std::filesystem::exists(scene.folder() / "cards/deep.card.toml"));
}

TEST_F(CardQuestions, AShippedCardIsSavedUnderAnotherName) {
    const AskedJson folder = scene.get("/api/folder");
    const std::string shipped = folder["cards"].back()["id"];
    const AskedJson view = scene.get("/api/cards/" + shipped);
    ASSERT_EQ(view["shipped"], true);
    const std::string text = view["text"];
    const AskedJson tried =
        scene.post("/api/cards/" + shipped + "/try",
                   {{"text", text}, {"edits", AskedJson::array({edit({"name"}, "Ours")})}});
    EXPECT_EQ(tried["title"], "Ours");
    scene.refused(404, "/api/cards/" + shipped + "/save", {{"text", "x"}, {"replaces", text}});
    scene.post("/api/cards", {{"name", "ours"}, {"text", tried["text"]}});
    EXPECT_EQ(scene.read("ours.card.toml"), tried["text"].get<std::string>());
    scene.refused(409, "/api/cards", {{"name", "ours"}, {"text", "x"}});
}

}  // namespace
}  // namespace gapwright
