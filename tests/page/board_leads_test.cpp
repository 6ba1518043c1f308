// Where the meter's leads go on the board: a plan is found once, kept while the wiring stays, and
// refused in words where there is none.
#include "page/board_table.hpp"

#include <fmt/format.h>

#include "board/made_wirings.hpp"
#include "page_scene.hpp"

namespace gapwright {
namespace {

using testing_support::least_link;

const std::string measure = "unpowered|resistance across R1";

TEST(BoardTable, KeepsAPlanWhileTheWiringStays) {
    BoardTable boards;
    const Wiring wiring = least_link();
    EXPECT_EQ(boards.last("a", BoardKind::strip, wiring), nullptr);
    const auto first = boards.plan("a", BoardKind::strip, wiring, {});
    ASSERT_TRUE(first);
    EXPECT_EQ(boards.plan("a", BoardKind::strip, wiring, {}).value(), *first);
    EXPECT_EQ(boards.last("a", BoardKind::strip, wiring), *first);
    EXPECT_EQ(boards.last("a", BoardKind::grid, wiring), nullptr);
    EXPECT_EQ(boards.last("b", BoardKind::strip, wiring), nullptr);
    Wiring other = wiring;
    other.parts[1].footprint.least_span += 1;  // a longer body
    EXPECT_EQ(boards.last("a", BoardKind::strip, other), nullptr);
    const auto second = boards.plan("a", BoardKind::strip, other, {});
    ASSERT_TRUE(second);
    EXPECT_NE(*second, *first);
    EXPECT_EQ(boards.last("a", BoardKind::strip, wiring), nullptr);  // one for each link and board
}

TEST(BoardTable, KeepsNoPlanThatWasCutShort) {
    BoardTable boards;
    const Wiring wiring = least_link();
    const auto cut = boards.plan("a", BoardKind::grid, wiring, [] { return true; });
    EXPECT_TRUE(cut);  // one search is always finished
    EXPECT_EQ(boards.last("a", BoardKind::grid, wiring), nullptr);
}

TEST(BoardTable, KeepsWhyThereIsNone) {
    BoardTable boards;
    int asked = 0;
    for (int k = 0; k < 2; ++k) {
        const auto none = boards.plan("a", BoardKind::strip, Wiring{}, [&] { return ++asked < 0; });
        ASSERT_FALSE(none);
        EXPECT_EQ(none.error().status, 422);
        EXPECT_EQ(none.error().error, "there are no parts to place");
    }
    EXPECT_EQ(boards.last("a", BoardKind::strip, Wiring{}), nullptr);
}

TEST(BoardLeads, AreShownOnceAPlanIsFound) {
    PageScene scene;
    scene.copy_example("bell-hammer.link.toml");
    const std::string id = scene.id_of("bell-hammer.link.toml");
    const std::string leads = "/api/links/" + id + "/leads";
    EXPECT_EQ(scene.get_reply(leads, {{"reading", measure}, {"board", "strip"}}).status, 409);
    const AskedJson board = scene.done({{"work", "board"}, {"link", id}, {"board", "strip"}});
    EXPECT_EQ(board["board"], "strip");
    EXPECT_TRUE(board["words"].get<std::string>().starts_with("strip board of "));
    const AskedJson shown = scene.get(leads, {{"reading", measure}, {"board", "strip"}});
    EXPECT_NE(shown["drawing"].get<std::string>().find("class=\"probe red\""), std::string::npos);
    EXPECT_EQ(shown["note"], "");
    const AskedJson marked =
        scene.get(leads, {{"reading", measure}, {"board", "strip"}, {"suspects", "R1 Q1 nobody"}});
    const std::string drawing = marked["drawing"];
    const auto first = drawing.find("class=\"suspect\"");
    EXPECT_NE(first, std::string::npos);
    EXPECT_NE(drawing.find("class=\"suspect\"", first + 1), std::string::npos);
    // Another board has a plan of its own, and the circuit needs none.
    EXPECT_EQ(scene.get_reply(leads, {{"reading", measure}, {"board", "grid"}}).status, 409);
    EXPECT_EQ(scene.get_reply(leads, {{"reading", measure}, {"board", "marble"}}).status, 400);
    EXPECT_EQ(scene.get_reply(leads, {{"reading", measure}}).status, 200);
    EXPECT_EQ(scene.get_reply(leads, {{"reading", "no such"}, {"board", "strip"}}).status, 404);
    // A value changes nothing of the plan; a part that is gone does.
    const std::string text = scene.read("bell-hammer.link.toml");
    AskedJson view = scene.get("/api/links/" + id);
    view = scene.post("/api/links/" + id + "/edit", trial(view, {"parts", "R1", "value"}, "390 Ω"));
    EXPECT_EQ(scene.get_reply(leads, {{"reading", measure}, {"board", "strip"}}).status, 200);
    view = scene.post("/api/links/" + id + "/edit", trial(view, {"parts", "R1", "power"}, "1 W"));
    EXPECT_EQ(scene.get_reply(leads, {{"reading", measure}, {"board", "strip"}}).status, 409);
}

TEST(BoardLeads, AreTheSamePlanAsTheBuildSheets) {
    PageScene scene;
    scene.copy_example("lamp-watch.link.toml");
    const std::string id = scene.id_of("lamp-watch.link.toml");
    const AskedJson build = scene.done({{"work", "build"}, {"link", id}, {"board", "grid"}});
    // Already found: no order is needed.
    const AskedJson sheet =
        scene.get("/api/links/" + id + "/leads", {{"reading", measure}, {"board", "grid"}});
    EXPECT_FALSE(sheet["drawing"].get<std::string>().empty());
    const AskedJson board = scene.done({{"work", "board"}, {"link", id}, {"board", "grid"}});
    EXPECT_EQ(board["words"], build["words"]);
}

TEST(BoardLeads, AreRefusedInWordsWhereNoBoardIsLargeEnough) {
    PageScene scene;
    // Six large resistors take more rows than there are.
    std::string path = "supply";
    std::string parts;
    for (int k = 1; k <= 6; ++k) {
        path += fmt::format(" > R{}", k + 10);
        parts += fmt::format(
            "R{} = {{ kind = \"resistor\", value = \"100 Ω ± 5 %\", power = \"5 W\" }}\n", k + 10);
    }
    scene.copy_example("bell-hammer.link.toml");
    std::string text = scene.read("bell-hammer.link.toml");
    const auto paths = text.find("paths = [", text.find("[output]"));
    ASSERT_NE(paths, std::string::npos);
    text.insert(paths + 9, "\"" + path + " > return\", ");
    const auto table = text.find("[parts]\n");
    ASSERT_NE(table, std::string::npos);
    text.insert(table + 8, parts);
    scene.write("crowd.link.toml", text);
    const std::string id = scene.id_of("crowd.link.toml");
    const AskedJson job = scene.finish(
        scene.post("/api/jobs", {{"work", "board"}, {"link", id}, {"board", "solderless"}}));
    EXPECT_EQ(job["state"], "failed") << job.dump();
    EXPECT_NE(job["refusal"]["error"].get<std::string>().find(
                  "do not fit on a solderless board of 63 rows"),
              std::string::npos)
        << job.dump();
    EXPECT_EQ(job["refusal"]["remedy"], "take another board");
}

}  // namespace
}  // namespace gapwright
