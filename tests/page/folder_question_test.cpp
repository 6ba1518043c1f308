#include "page_scene.hpp"

namespace gapwright {
namespace {

TEST(FolderQuestions, ListWhatLiesThere) {
    PageScene scene;
    scene.copy_example("bell-hammer.link.toml");
    scene.copy_example("needs/bell-hammer.link.toml", "needs/bell-hammer.link.toml");
    scene.copy_example("needs/drawer.csv");
    scene.copy_example("charts/vane-emitter.csv");
    scene.copy_example("charts/vane-emitter.png");
    scene.write("cards/mine.card.toml",
                "name = \"Mine\"\nbased_on = \"infrared-led\"\nsource = \"measured\"\n");
    scene.write("broken.link.toml", "title = ");
    const AskedJson view = scene.get("/api/folder");
    ASSERT_EQ(view["links"].size(), 3U);
    EXPECT_EQ(view["links"][1]["note"], "cannot be read");
    EXPECT_EQ(view["links"][2]["note"], "need");
    EXPECT_EQ(view["drawers"].size(), 1U);
    EXPECT_EQ(view["points"].size(), 1U);
    EXPECT_EQ(view["charts"].size(), 1U);
    EXPECT_EQ(view["cards"].size(), 29U);
    EXPECT_EQ(view["cards"][0]["title"], "Mine");
    EXPECT_EQ(view["examples"].size(), 12U);
}

TEST(FolderQuestions, MakeNewLinks) {
    PageScene scene;
    const auto make = [&](const AskedJson& order) { return scene.post("/api/links", order); };
    EXPECT_EQ(make({{"name", "first"}, {"from", "blank"}})["judgement"]["verdict"], "kept");
    EXPECT_TRUE(std::filesystem::exists(scene.folder() / "first.link.toml"));

    AskedJson need = make({{"name", "bell"},
                           {"from", "need"},
                           {"values",
                            {{"title", "The \"bell\""},
                             {"load", "relay-coil-12v"},
                             {"output_supply", "12 V ± 5 %"}}}});
    EXPECT_EQ(need["problems"], AskedJson::array()) << need["problems"].dump();
    EXPECT_EQ(need["title"], "The \"bell\"");
    EXPECT_FALSE(need["need"].is_null());
    EXPECT_FALSE(need["has_circuit"]);

    const AskedJson example = make({{"name", "motor"},
                                    {"from", "example"},
                                    {"source", scene.example_id("winder-motor", "link")}});
    EXPECT_EQ(example["title"], "Winder motor");
    const AskedJson copy = make({{"name", "motor-2"}, {"from", "copy"}, {"source", example["id"]}});
    EXPECT_EQ(copy["text"], example["text"]);
    EXPECT_FALSE(std::filesystem::exists(scene.folder() / "drawer.csv"));
    const AskedJson wanted = make({{"name", "need"},
                                   {"from", "example"},
                                   {"source", scene.example_id("bell-hammer", "need")}});
    EXPECT_EQ(wanted["problems"], AskedJson::array());
    EXPECT_TRUE(std::filesystem::exists(scene.folder() / "drawer.csv"));  // that it names
}

TEST(FolderQuestions, ATileShowsHowALinkStands) {
    PageScene scene;
    scene.copy_example("bell-hammer.link.toml");
    scene.copy_example("needs/lamp-watch.link.toml", "wanted.link.toml");
    scene.write("broken.link.toml", "title = ");
    const auto tile = [&](const std::string& file) {
        return scene.get("/api/links/" + scene.id_of(file) + "/tile");
    };
    const AskedJson hammer = tile("bell-hammer.link.toml");
    EXPECT_EQ(hammer["verdict"], "kept");
    EXPECT_TRUE(hammer["words"].get<std::string>().starts_with("holds until")) << hammer.dump();
    const std::string drawing = hammer["drawing"];
    EXPECT_NE(drawing.find("class=\"beam"), std::string::npos);
    EXPECT_EQ(drawing.find("<text"), std::string::npos);
    EXPECT_EQ(hammer["bench"]["sessions"], 0);
    EXPECT_EQ(tile("wanted.link.toml")["words"], "a need: no circuit yet");
    EXPECT_EQ(tile("broken.link.toml")["drawing"], "");
    EXPECT_NE(tile("broken.link.toml")["words"], "");
}

TEST(FolderQuestions, ALinkIsRenamedWithItsRecords) {
    PageScene scene;
    scene.copy_example("bell-hammer.link.toml");
    scene.copy_example("lamp-watch.link.toml");
    scene.write("bell-hammer.bench/0001-2026-11-26.toml", "when = \"2026-11-26\"\n");
    const std::string id = scene.id_of("bell-hammer.link.toml");
    const AskedJson view = scene.post("/api/links/" + id + "/rename", {{"name", "hammer"}});
    EXPECT_EQ(view["links"][0]["file"], "hammer.link.toml");
    EXPECT_TRUE(std::filesystem::exists(scene.folder() / "hammer.bench/0001-2026-11-26.toml"));
    EXPECT_FALSE(std::filesystem::exists(scene.folder() / "bell-hammer.link.toml"));
    const std::string renamed = "/api/links/" + scene.id_of("hammer.link.toml") + "/rename";
    EXPECT_EQ(scene.refused(409, renamed, {{"name", "lamp-watch"}})["error"],
              "Lamp-watch.link.toml: this name is taken");
    scene.refused(422, renamed, {{"name", "../out"}});
    EXPECT_TRUE(std::filesystem::exists(scene.folder() / "hammer.link.toml"));
}

TEST(FolderQuestions, ADrawerIsATable) {
    PageScene scene;
    scene.write("drawer.csv",
                "kind,value,tolerance,power,count,card,note\nresistor,330 Ω,5 %,0.25 W,12,,\n"
                "resistor,many,5 %,,3,,\nled,,,,4,red-led,\"a \"\"good\"\" one, bright\"\n");
    const std::string id = scene.id_of("drawer.csv");
    const AskedJson drawer = scene.get("/api/drawers/" + id);
    ASSERT_EQ(drawer["rows"].size(), 3U) << drawer.dump();
    EXPECT_EQ(drawer["rows"][0]["bands"], AskedJson({"orange", "orange", "brown", "gold"}));
    EXPECT_EQ(drawer["rows"][0]["problem"], "");
    EXPECT_NE(drawer["rows"][1]["problem"], "");
    EXPECT_EQ(drawer["rows"][2]["cells"][6], "a \"good\" one, bright");
    AskedJson rows = AskedJson::array();
    for (const auto& row : drawer["rows"]) rows.push_back(row["cells"]);
    rows[1][1] = "1 kΩ";
    const AskedJson edit = {
        {"id", id}, {"columns", drawer["columns"]}, {"rows", rows}, {"replaces", drawer["text"]}};
    const AskedJson saved = scene.post("/api/drawers", edit);
    EXPECT_EQ(saved["rows"][1]["problem"], "");
    EXPECT_EQ(scene.read("drawer.csv"),
              "kind,value,tolerance,power,count,card,note\nresistor,330 Ω,5 %,0.25 W,12,,\n"
              "resistor,1 kΩ,5 %,,3,,\nled,,,,4,red-led,\"a \"\"good\"\" one, bright\"\n");
    scene.refused(409, "/api/drawers", edit);  // of a text that is not there any more
    AskedJson other = edit;
    other["replaces"] = saved["text"];
    other["columns"][0] = "sort";
    scene.refused(422, "/api/drawers", other);
    EXPECT_EQ(scene.get("/api/drawers/" + id), saved);
}

TEST(FolderQuestions, TheTrashGivesBackWhatItTook) {
    PageScene scene;
    for (int times = 0; times < 2; ++times) {
        scene.copy_example("bell-hammer.link.toml");
        const std::string id = scene.id_of("bell-hammer.link.toml");
        const AskedJson view = scene.post("/api/links/" + id + "/trash", AskedJson::object());
        EXPECT_EQ(view["links"].size(), 0U);
        EXPECT_EQ(view["trashed"]["to"], "bell-hammer.link.toml");
        EXPECT_TRUE(std::filesystem::exists(scene.folder() / view["trashed"]["from"]));
    }
    const AskedJson back = scene.post(
        "/api/trash", {{"from", ".trash/bell-hammer.link.toml"}, {"to", "bell-hammer.link.toml"}});
    EXPECT_EQ(back["links"].size(), 1U);
    scene.refused(409, "/api/trash",
                  {{"from", ".trash/bell-hammer.2.link.toml"}, {"to", "bell-hammer.link.toml"}});
    scene.refused(404, "/api/trash", {{"from", "drawer.csv"}, {"to", "x.link.toml"}});
    scene.refused(404, "/api/trash", {{"from", ".trash/../../x.link.toml"}, {"to", "x.link.toml"}});
}

TEST(FolderQuestions, AnAddressOutlivesARestart) {
    PageScene scene;
    scene.copy_example("bell-hammer.link.toml");
    const std::string id = scene.id_of("bell-hammer.link.toml");
    scene.restart();
    EXPECT_EQ(scene.get("/api/links/" + id)["title"], "Bell hammer");
    EXPECT_EQ(scene.get_reply("/api/links/0123456789abcdef").status, 404);
}

TEST(FolderQuestions, FiguresOfAnOfferAreToldToBeExamples) {
    PageScene scene;
    AskedJson view = scene.post(
        "/api/links",
        {{"name", "bell"}, {"from", "need"}, {"values", {{"load", "a coil, described here"}}}});
    const auto note = [&] {
        for (const auto& group : view["need"]["fields"]) {
            if (group["name"] == "What it switches") return group.value("note", std::string());
        }
        return std::string("no such group");
    };
    EXPECT_NE(note().find("example"), std::string::npos) << note();
    view = scene.post("/api/links/" + view["id"].get<std::string>() + "/edit",
                      trial(view, {"need", "load", "resistance"}, "400 Ω ± 10 %"));
    EXPECT_EQ(note(), "");
    EXPECT_NE(view["text"].get<std::string>().find("400 Ω ± 10 %"), std::string::npos);
}

TEST(FolderQuestions, MakeNoFileThatIsThereOrLeadsOut) {
    PageScene scene;
    scene.write("first.link.toml", "mine");
    const auto status = [&](const std::string& name) {
        return scene.post_reply("/api/links", {{"name", name}, {"from", "blank"}}).status;
    };
    EXPECT_EQ(status("first"), 409);
    EXPECT_EQ(scene.read("first.link.toml"), "mine");
    for (const char* name : {"", ".", "..", "../x", "a/b", "/tmp/x", ".hidden", "a\\b", "x\ny"}) {
        EXPECT_EQ(status(name), 422) << name;
    }
    EXPECT_EQ(scene.post_reply("/api/links", {{"name", "x"}, {"from", "example"}, {"source", "1"}})
                  .status,
              404);
}

TEST(FolderQuestions, KnowNoPathsAndNoIdsButTheirOwn) {
    PageScene scene;
    scene.copy_example("bell-hammer.link.toml");
    scene.get("/api/folder");
    for (const char* path :
         {"/api/links/bell-hammer.link.toml", "/api/links/../bell-hammer.link.toml",
          "/api/links/0123456789abcdef", "/api/cards/..", "/api/charts//etc/passwd", "/api/links/",
          "/api/", "/api", "/..", "/../../etc/passwd", "/etc/passwd", "/page.js/../x",
          "/api/jobs/1", "/api/folder/x", "/api/links/a/b/c/d"}) {
        EXPECT_EQ(scene.get_reply(path).status, 404) << path;
    }
}

TEST(FolderQuestions, ServeThePageItself) {
    PageScene scene;
    EXPECT_EQ(scene.get_reply("/").type, "text/html; charset=utf-8");
    EXPECT_NE(scene.get_reply("/").body.find("page.js"), std::string::npos);
    EXPECT_GT(scene.get_reply("/page.js").body.size(), 10000U);
    EXPECT_GT(scene.get_reply("/page.css").body.size(), 1000U);
    EXPECT_NE(scene.get_reply("/picture.css").body.find(".picture"), std::string::npos);
}

TEST(FolderQuestions, ShowCards) {
    PageScene scene;
    const AskedJson folder = scene.get("/api/folder");
    for (const auto& entry : folder["cards"]) {
        const AskedJson card = scene.get("/api/cards/" + entry["id"].get<std::string>());
        EXPECT_TRUE(card["shipped"]);
        EXPECT_EQ(card["problems"], AskedJson::array());
        EXPECT_GE(card["groups"].size(), 2U) << entry.dump();
    }
}

TEST(FolderQuestions, FitACardAndKeepIt) {
    PageScene scene;
    scene.copy_example("charts/vane-emitter.csv");
    const AskedJson fit = scene.done({{"work", "fit"},
                                      {"kind", "led"},
                                      {"name", "Vane emitter"},
                                      {"file", scene.id_of("vane-emitter.csv")},
                                      {"points", ""},
                                      {"settings", AskedJson::object()},
                                      {"source", ""},
                                      {"based_on", ""}});
    EXPECT_FALSE(fit["figures"].empty());
    EXPECT_FALSE(fit["pictures"].empty());
    const AskedJson folder = scene.post("/api/cards", {{"name", "vane"}, {"text", fit["text"]}});
    EXPECT_EQ(folder["cards"][0]["title"], "Vane emitter");
    EXPECT_EQ(scene.read("vane.card.toml"), fit["text"].get<std::string>());
    EXPECT_EQ(scene.post_reply("/api/cards", {{"name", "vane"}, {"text", "x"}}).status, 409);
}

TEST(FolderQuestions, TellWhyPointsCannotBeFitted) {
    PageScene scene;
    const AskedJson job = scene.finish(scene.post(
        "/api/jobs", {{"work", "fit"}, {"kind", "led"}, {"points", "volts,amps\n1,2\n"}}));
    EXPECT_EQ(job["state"], "failed");
    EXPECT_FALSE(job["refusal"]["problems"].empty()) << job.dump();
}

// The marks of the README's walk-through.
TEST(FolderQuestions, ReadAChart) {
    PageScene scene;
    scene.copy_example("charts/vane-emitter.png");
    const std::string id = scene.id_of("vane-emitter.png");
    EXPECT_TRUE(scene.get_reply("/api/charts/" + id).body.starts_with("\x89PNG"));
    const AskedJson failed = scene.finish(scene.post(
        "/api/jobs", {{"work", "trace"}, {"chart", id}, {"trace", AskedJson::object()}}));
    EXPECT_EQ(failed["state"], "failed");
    EXPECT_NE(failed["refusal"]["error"], "");
}

TEST(FolderQuestions, PutAPictureIn) {
    PageScene scene;
    const std::string png = PageScene::text_of(std::filesystem::path(PROJECT_FOLDER) /
                                               "examples/clock-tower/charts/vane-emitter.png");
    const auto put = [&](const std::string& name, const std::string& bytes) {
        return scene.page().answer({.method = Method::post,
                                    .path = "/api/charts",
                                    .query = {{"name", name}},
                                    .body = bytes,
                                    .type = "image/png"},
                                   {});
    };
    EXPECT_EQ(put("chart.png", png).status, 200);
    EXPECT_EQ(scene.read("chart.png"), png);
    EXPECT_EQ(put("chart.png", png).status, 409);
    EXPECT_EQ(put("other.png", "no picture").status, 422);
    EXPECT_EQ(put("../other.png", png).status, 422);
    EXPECT_FALSE(std::filesystem::exists(scene.folder() / "other.png"));
}

}  // namespace
}  // namespace gapwright
