#include "page_scene.hpp"

namespace gapwright {
namespace {

TEST(Works, DesignANeedAndTakeAnAnswer) {
    PageScene scene;
    scene.copy_example("needs/bell-hammer.link.toml");
    scene.copy_example("needs/drawer.csv");
    const std::string id = scene.id_of("bell-hammer.link.toml");
    AskedJson view = scene.get("/api/links/" + id);
    EXPECT_TRUE(view["judgement"].is_null());
    const AskedJson job = scene.finish(scene.post("/api/jobs", {{"work", "design"}, {"link", id}}));
    ASSERT_EQ(job["state"], "done") << job.dump();
    const AskedJson& design = job["result"];
    ASSERT_GE(design["answers"].size(), 3U);
    EXPECT_EQ(design["answers"][0]["verdict"], "kept");
    EXPECT_EQ(design["answers"][0]["unknown"], AskedJson::array());
    EXPECT_FALSE(design["gaps"].empty());
    view = scene.post("/api/links/" + id + "/take",
                      {{"job", job["id"]}, {"answer", 1}, {"revision", view["revision"]}});
    EXPECT_EQ(view["text"], design["answers"][1]["text"]);
    EXPECT_EQ(view["judgement"]["verdict"], "kept");
    EXPECT_EQ(scene.read("bell-hammer.link.toml"), design["answers"][1]["text"].get<std::string>());
    EXPECT_FALSE(view["need"].is_null());  // it is kept beside the circuit
    view = scene.post("/api/links/" + id + "/undo");
    EXPECT_TRUE(view["judgement"].is_null());
    for (const int number : {-1, 99}) {
        const Reply reply = scene.post_reply(
            "/api/links/" + id + "/take",
            {{"job", job["id"]}, {"answer", number}, {"revision", view["revision"]}});
        EXPECT_EQ(reply.status, 404);
    }
}

TEST(Works, ADesignThatIsStoppedKeepsTheBestSoFarOrSaysSo) {
    PageScene scene;
    scene.copy_example("needs/chime-bus.link.toml");
    scene.copy_example("needs/drawer.csv");
    const std::string id = scene.id_of("chime-bus.link.toml");
    const AskedJson job = scene.post("/api/jobs", {{"work", "design"}, {"link", id}});
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    const auto begin = std::chrono::steady_clock::now();
    scene.post("/api/jobs/" + job["id"].get<std::string>() + "/stop");
    const AskedJson ended = scene.finish(job);
    EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(60));
    if (ended["state"] == "done") {
        EXPECT_NE(ended["result"]["words"].get<std::string>().find("stopped"), std::string::npos);
    } else {
        EXPECT_EQ(ended["state"], "stopped");
        EXPECT_NE(ended["refusal"]["error"], "");
    }
}

TEST(Works, BuildOnEveryBoard) {
    PageScene scene;
    scene.copy_example("bell-hammer.link.toml");
    const std::string id = scene.id_of("bell-hammer.link.toml");
    for (const char* board : {"solderless", "strip", "grid"}) {
        const AskedJson build = scene.done({{"work", "build"}, {"link", id}, {"board", board}});
        EXPECT_EQ(build["board"], board);
        EXPECT_EQ(build["boards"].size(), 3U);
        EXPECT_FALSE(build["plan"].empty());
        EXPECT_GE(build["steps"].size(), 5U);
        EXPECT_FALSE(build["parts"].empty());
        EXPECT_FALSE(build["cautions"].empty());
    }
    const AskedJson none = scene.finish(
        scene.post("/api/jobs", {{"work", "build"}, {"link", id}, {"board", "marble"}}));
    EXPECT_EQ(none["state"], "failed");
}

#ifndef GAPWRIGHT_SANITIZE  // a fault dictionary takes long there; bench tests make them
TEST(Works, ReadingsOfAFaultyBoardFindTheFault) {
    PageScene scene;
    scene.copy_example("bell-hammer.link.toml");
    const std::string id = scene.id_of("bell-hammer.link.toml");
    const AskedJson sheet = scene.done({{"work", "sheet"}, {"link", id}, {"board", "solderless"}});
    ASSERT_GE(sheet["lines"].size(), 8U);
    // Isolation first, from all to all; from there on each lead has its hole.
    EXPECT_NE(sheet["lines"][0]["leads"].get<std::string>().find("together"), std::string::npos);
    EXPECT_NE(sheet["lines"][2]["leads"].get<std::string>().find("hole"), std::string::npos);
    // R2 is not joined: no current into the base, the coil's node stays at the supply.
    AskedJson readings = AskedJson::array();
    for (const auto& line : sheet["lines"]) {
        const std::string name = line["id"];
        if (name == "on|voltage at coil") readings.push_back({{"id", name}, {"text", "24,1"}});
        if (name == "on|voltage at R1/U1") readings.push_back({{"id", name}, {"text", "1.21"}});
    }
    const std::string unread = sheet["lines"][0]["id"];
    readings.push_back({{"id", unread}, {"text", "nonsense"}});
    const AskedJson bench = scene.done(
        {{"work", "readings"}, {"link", id}, {"readings", {{"readings", readings}, {"who", ""}}}});
    ASSERT_EQ(bench["readings"].size(), 3U);
    std::map<std::string, std::string> judged;
    for (const auto& one : bench["readings"]) judged[one["id"]] = one["judgement"];
    EXPECT_EQ(judged["on|voltage at coil"], "wrong");
    EXPECT_EQ(judged["on|voltage at R1/U1"], "in band");
    EXPECT_EQ(judged[unread], "unread");
    ASSERT_FALSE(bench["suspects"].empty());
    // Parts by name, so that the board can show them.
    bool about_r2 = false;
    for (const auto& suspect : bench["suspects"]) {
        for (const std::string part : suspect["parts"]) {
            EXPECT_NE(suspect["text"].get<std::string>().find(part), std::string::npos)
                << suspect.dump();
            about_r2 = about_r2 || part == "R2";
        }
    }
    EXPECT_TRUE(about_r2) << bench["suspects"].dump();
    EXPECT_FALSE(bench["next"].is_null());
    const AskedJson recorded = scene.post("/api/links/" + id + "/record",
                                          {{"readings", readings}, {"who", "the night shift"}});
    const std::string record = PageScene::text_of(recorded["file"].get<std::string>());
    EXPECT_NE(record.find("the night shift"), std::string::npos);
    EXPECT_TRUE(recorded["file"].get<std::string>().starts_with(scene.folder().string()));
}
#endif

TEST(Works, RefuseWhatIsNoOrder) {
    PageScene scene;
    EXPECT_EQ(scene.post_reply("/api/jobs", {{"work", "mischief"}}).status, 400);
    EXPECT_EQ(scene.post_reply("/api/jobs", {{"work", "design"}, {"link", "x"}}).status, 404);
    EXPECT_EQ(scene.post_reply("/api/jobs", AskedJson::array()).status, 400);
    EXPECT_EQ(scene.post_reply("/api/jobs/7/stop", {}).status, 404);
}

}  // namespace
}  // namespace gapwright
