// A link with values still to be chosen, as the page is told of it.
#include "page_scene.hpp"

namespace gapwright {
namespace {

bool holds(const AskedJson& text, const std::string& words) {
    return text.get<std::string>().find(words) != std::string::npos;
}

class UnjudgedLinks : public testing::Test {
  protected:
    UnjudgedLinks() {
        scene.copy_example("speed/night-silence.link.toml");
        scene.copy_example("speed/chime-bus.link.toml");
        path = "/api/links/" + scene.id_of("night-silence.link.toml");
        view = scene.get(path);
    }

    PageScene scene;
    std::string path;
    AskedJson view;
};

TEST_F(UnjudgedLinks, AreDrawnAndToldOfWithoutAVerdict) {
    EXPECT_TRUE(view["judgement"].is_null());
    EXPECT_TRUE(view["problems"].empty());
    EXPECT_EQ(view["to_choose"], AskedJson({"R2"}));
    const AskedJson& told = view["unjudged"];
    ASSERT_TRUE(told.is_object());
    EXPECT_EQ(told["words"], "R2 is still to be chosen: until then nothing can be judged.");
    EXPECT_EQ(told["states"], AskedJson({"day", "night"}));
    EXPECT_EQ(told["state"], "day");
    EXPECT_TRUE(holds(told["schematic"], "data-part=\"R2\""));
    EXPECT_TRUE(holds(told["schematic"], "to be chosen"));
    EXPECT_FALSE(holds(told["schematic"], "<style"));  // the page has it
    ASSERT_EQ(told["promises"].size(), 4U);
    EXPECT_EQ(told["promises"][3]["state"], "night > day");
    EXPECT_EQ(told["promises"][3]["quantity"], "voltage quiet reaches 2.4 V");
    EXPECT_EQ(told["promises"][3]["bounds"], "≤ 60 µs");
    for (const auto& promise : told["promises"]) EXPECT_FALSE(promise.contains("verdict"));
    ASSERT_FALSE(told["cautions"].empty());
    EXPECT_TRUE(holds(told["cautions"][0]["text"], "solderless board"));
    int chosen = 0;
    for (const auto& part : view["parts"]) {
        chosen += part["value"] == "to be chosen" ? 1 : 0;
        EXPECT_EQ(part["value"] == "to be chosen", part["name"] == "R2");
    }
    EXPECT_EQ(chosen, 1);
}

TEST_F(UnjudgedLinks, ShowEachState) {
    const AskedJson night = scene.get(path, {{"state", "night"}})["unjudged"];
    EXPECT_EQ(night["state"], "night");
    EXPECT_NE(night["schematic"], view["unjudged"]["schematic"]);
    EXPECT_EQ(scene.get(path, {{"state", "noon"}})["unjudged"]["state"], "day");
}

TEST_F(UnjudgedLinks, AreJudgedOnceTheValueIsThere) {
    const AskedJson r2 = {"parts", "R2", "value"};
    const AskedJson tried = scene.post(path + "/try", trial(view, r2, "1.5 kΩ ± 5 %"));
    EXPECT_TRUE(tried["unjudged"].is_null());
    EXPECT_EQ(tried["judgement"]["verdict"], "thin");
    view = scene.post(path + "/edit", trial(view, r2, "470 Ω ± 5 %"));
    EXPECT_EQ(view["judgement"]["verdict"], "broken");
    view = scene.post(path + "/undo");
    EXPECT_TRUE(view["judgement"].is_null());
    EXPECT_TRUE(view["unjudged"].is_object());
}

TEST_F(UnjudgedLinks, ExportWhatIsDrawnAndRefuseWhatWouldNeedAVerdict) {
    const auto exported = [&](std::map<std::string, std::string> query) {
        return scene.get_reply(path + "/export", std::move(query));
    };
    const Reply report = exported({{"what", "report"}});
    EXPECT_EQ(report.status, 200) << report.body;
    EXPECT_TRUE(holds(report.body, "not judged"));
    EXPECT_TRUE(holds(report.body, "gapwright design night-silence.link.toml"));
    for (const char* kind : {"svg", "png", "pdf"}) {
        const Reply picture =
            exported({{"what", "picture"}, {"name", "schematic-night"}, {"as", kind}});
        EXPECT_EQ(picture.status, 200) << kind;
        EXPECT_GT(picture.body.size(), 2000U) << kind;
    }
    const Reply missing =
        exported({{"what", "picture"}, {"name", "margins-promises"}, {"as", "svg"}});
    EXPECT_EQ(missing.status, 404);
    const Reply check = exported({{"what", "check"}});
    EXPECT_EQ(check.status, 422);
    EXPECT_TRUE(holds(check.body, "R2 is still to be chosen"));
    for (const char* what : {"build", "sheet"}) {
        const Reply refused = exported({{"what", what}});
        EXPECT_EQ(refused.status / 100, 4) << what;
        EXPECT_TRUE(holds(refused.body, "R2 is still to be chosen")) << refused.body;
    }
    for (const char* asked : {"/proof", "/case", "/part"}) {
        const Reply refused = scene.get_reply(
            path + asked, {{"name", "R2"}, {"promise", "0"}, {"end", "lowest"}, {"state", "day"}});
        EXPECT_EQ(refused.status, 422) << asked;
        EXPECT_TRUE(holds(refused.body, "R2 is still to be chosen")) << refused.body;
    }
}

TEST_F(UnjudgedLinks, TheOtherShippedExampleIsOneToo) {
    const AskedJson chime = scene.get("/api/links/" + scene.id_of("chime-bus.link.toml"));
    EXPECT_TRUE(chime["judgement"].is_null());
    EXPECT_TRUE(holds(chime["unjudged"]["schematic"], "to be chosen"));
    EXPECT_EQ(chime["unjudged"]["promises"][2]["quantity"], "pulse width error, voltage data");
}

// A link that has all its values has nothing of this.
TEST_F(UnjudgedLinks, OthersAreNone) {
    scene.copy_example("bell-hammer.link.toml");
    const AskedJson hammer = scene.get("/api/links/" + scene.id_of("bell-hammer.link.toml"));
    EXPECT_TRUE(hammer["unjudged"].is_null());
    EXPECT_TRUE(hammer["judgement"].is_object());
}

}  // namespace
}  // namespace gapwright
