#include <thread>

#include "page_scene.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

const AskedJson r1 = {"parts", "R1", "value"};

class LinkQuestions : public testing::Test {
  protected:
    LinkQuestions() {
        scene.copy_example("bell-hammer.link.toml");
        path = "/api/links/" + scene.id_of("bell-hammer.link.toml");
        view = scene.get(path);
        before = scene.read("bell-hammer.link.toml");
    }

    AskedJson edit(const std::string& text) {
        view = scene.post(path + "/edit", trial(view, r1, text));
        return view;
    }

    PageScene scene;
    std::string path;
    AskedJson view;
    std::string before;
};

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    return text.replace(text.find(from), from.size(), to);
}

TEST_F(LinkQuestions, ShowWhatTheFileComesTo) {
    EXPECT_EQ(view["title"], "Bell hammer");
    EXPECT_EQ(view["name"], "bell-hammer");
    EXPECT_EQ(view["judgement"]["verdict"], "kept");
    EXPECT_EQ(view["judgement"]["promises"].size(), 2U);
    EXPECT_EQ(view["judgement"]["promises"][0]["bounds"], "≥ 16.8 V");
    EXPECT_EQ(view["parts"].size(), 8U);
    EXPECT_EQ(view["text"], before);
    EXPECT_TRUE(view["saved"]);
    EXPECT_TRUE(view["need"].is_null());
    const std::string svg = view["judgement"]["schematic"];
    EXPECT_NE(svg.find("data-part=\"R1\""), std::string::npos);
    EXPECT_EQ(svg.find("<style"), std::string::npos);  // the page has it
}

TEST_F(LinkQuestions, SayHowFarTheSpreadsMayBeWidened) {
    const AskedJson& judgement = view["judgement"];
    const std::string words = judgement["sentence"];
    EXPECT_TRUE(words.starts_with("Everything promised is kept, as far as searched")) << words;
    EXPECT_NE(words.find(": it holds until every spread is "), std::string::npos) << words;
    for (const auto& promise : judgement["promises"]) {
        EXPECT_NE(promise["stretch"], "");
        EXPECT_EQ(promise["reason"], "");
    }
    view = scene.post(path + "/edit", trial(view, {"surroundings", "stretch"}, "2.9"));
    EXPECT_NE(view["text"].get<std::string>().find("stretch = \"2.9\""), std::string::npos);
    EXPECT_EQ(view["judgement"]["verdict"], "thin");
    const std::string asked = view["judgement"]["sentence"];
    EXPECT_TRUE(asked.ends_with("; asked: 2.9.")) << asked;
    view = scene.post(path + "/edit", trial(view, {"surroundings", "stretch"}, "-1"));
    ASSERT_EQ(view["problems"].size(), 1U) << view["problems"].dump();
    EXPECT_EQ(view["problems"][0]["message"], "stretch must not be below zero");
    EXPECT_EQ(view["problems"][0]["at"], AskedJson({"surroundings", "stretch"}));
}

// Nobody states a limit of the light-dependent resistor; what is assumed of parts has a range.
TEST_F(LinkQuestions, WhatIsUnknownSaysWhatWouldSettleIt) {
    scene.write("cell.link.toml", testing_support::unrated_link());
    const auto shown = scene.get("/api/links/" + scene.id_of("cell.link.toml"));
    EXPECT_EQ(shown["judgement"]["verdict"], "unknown") << shown["problems"].dump();
    const std::string link = shown["judgement"]["sentence"];
    EXPECT_TRUE(link.starts_with("Nothing is broken as far as is known")) << link;
    EXPECT_NE(link.find("Of the rest: what is known holds until "), std::string::npos) << link;
    std::size_t unknown = 0;
    for (const auto& rating : shown["judgement"]["ratings"]) {
        if (rating["verdict"] != "unknown") {
            EXPECT_EQ(rating["reason"], "");
            EXPECT_FALSE(rating["bounds"].get<std::string>().ends_with("assumed"));
            continue;
        }
        ++unknown;
        const std::string reason = rating["reason"];
        EXPECT_TRUE(reason.starts_with("state U1's receiver power: it reaches ")) << reason;
        EXPECT_TRUE(rating["bounds"].get<std::string>().ends_with(", assumed"));
        EXPECT_EQ(rating["reserve"], "unknown");
        EXPECT_EQ(rating["stretch"], "");
        EXPECT_NE(rating["worst_case"], "");
    }
    EXPECT_EQ(unknown, 1U);
    for (const auto& part : shown["parts"]) {
        if (part["name"] != "S1") continue;
        for (const auto& field : part["fields"]) {
            if (field["key"] != "closed_resistance") continue;
            EXPECT_EQ(field["origin"], "assumed");
            EXPECT_NE(field["text"].get<std::string>().find(" … "), std::string::npos) << field;
        }
    }
}

// Between the ends of what is assumed of the open contact lies the bound.
TEST_F(LinkQuestions, APromiseThatHangsOnAnAssumptionSaysOnWhich) {
    scene.write("dark.link.toml",
                testing_support::with(testing_support::unrated_link(),
                                      "state = \"on\"\ncurrent = \"R2\"\nat_least = \"1 mA\"",
                                      "state = \"off\"\ncurrent = \"R2\"\nat_most = \"100 µA\""));
    const auto shown = scene.get("/api/links/" + scene.id_of("dark.link.toml"));
    const AskedJson& promise = shown["judgement"]["promises"][0];
    EXPECT_EQ(promise["verdict"], "unknown") << shown["problems"].dump();
    const std::string reason = promise["reason"];
    EXPECT_TRUE(reason.starts_with("state S1 open resistance: ")) << reason;
    EXPECT_EQ(promise["reserve"], "unknown");
    EXPECT_NE(promise["worst_case"].get<std::string>().find("open resistance"), std::string::npos);
}

TEST_F(LinkQuestions, ACautionLeadsToThePartThatItIsAbout) {
    std::string text = before;
    for (std::size_t at; (at = text.find("R1")) != std::string::npos;) text.replace(at, 2, "No");
    text = replaced(text, "working_voltage = \"24 V\"\n", "");
    scene.write("no.link.toml", text);
    const auto cautions =
        scene.get("/api/links/" + scene.id_of("no.link.toml"))["judgement"]["cautions"];
    std::map<std::string, std::string> part_of;  // by the caution's first three words
    for (const auto& caution : cautions) {
        const std::string words = caution["text"];
        part_of[words.substr(0, words.find(' ', words.find(' ', words.find(' ') + 1) + 1))] =
            caution["part"];
    }
    ASSERT_TRUE(part_of.contains("No working voltage"));
    EXPECT_EQ(part_of["No working voltage"], "");
    EXPECT_EQ(part_of["The fading of"], "U1");
}

TEST_F(LinkQuestions, AnEditChangesOnlyTheValueInTheFile) {
    edit("1k5");
    EXPECT_EQ(scene.read("bell-hammer.link.toml"), replaced(before, "330 Ω ± 5 %", "1k5"));
    EXPECT_EQ(view["undo"], "R1 value: 330 Ω ± 5 % to 1k5");
    EXPECT_TRUE(view["saved"]);
}

TEST_F(LinkQuestions, APromiseBreaksAndUndoMendsIt) {
    edit("22 kΩ ± 5 %");
    EXPECT_EQ(view["judgement"]["verdict"], "broken");
    view = scene.post(path + "/undo");
    EXPECT_EQ(view["judgement"]["verdict"], "kept");
    EXPECT_EQ(scene.read("bell-hammer.link.toml"), before);
    view = scene.post(path + "/redo");
    EXPECT_EQ(view["judgement"]["verdict"], "broken");
}

TEST_F(LinkQuestions, ATrialSavesNothing) {
    const AskedJson tried = scene.post(path + "/try", trial(view, r1, "22 kΩ ± 5 %"));
    EXPECT_EQ(tried["judgement"]["verdict"], "broken");
    EXPECT_EQ(tried["revision"], view["revision"]);
    EXPECT_NE(tried["judgement"]["left_out"], "");  // and says what it does not look at
    EXPECT_EQ(view["judgement"]["left_out"], "");
    EXPECT_EQ(scene.read("bell-hammer.link.toml"), before);
}

TEST_F(LinkQuestions, ANewerTrialEndsAnOlderOne) {
    AskedJson slow = trial(view, r1, "22 kΩ ± 5 %");
    slow["samples"] = 1000000;
    const AskedJson quick = trial(view, r1, "470 Ω ± 5 %");
    Reply older;
    Reply newer;
    // On a busy machine the thread may come second: then the two are the other way round.
    for (int attempt = 0; attempt < 10 && older.status != 409; ++attempt) {
        std::thread asks([&] { older = scene.post_reply(path + "/try", slow); });
        std::this_thread::sleep_for(std::chrono::milliseconds(30));
        newer = scene.post_reply(path + "/try", quick);
        asks.join();
    }
    EXPECT_EQ(older.status, 409) << older.body.substr(0, 200);
    ASSERT_EQ(newer.status, 200) << newer.body;
    EXPECT_EQ(AskedJson::parse(newer.body)["judgement"]["verdict"], "kept");
}

TEST_F(LinkQuestions, ATextThatIsNoLinkIsSavedAndToldWithItsPlace) {
    edit("330 V");
    EXPECT_TRUE(view["judgement"].is_null());
    ASSERT_EQ(view["problems"].size(), 1U);
    EXPECT_EQ(view["problems"][0]["at"], r1);
    EXPECT_NE(view["problems"][0]["excerpt"].get<std::string>().find("^~~"), std::string::npos);
    EXPECT_NE(scene.read("bell-hammer.link.toml").find("330 V"), std::string::npos);
    view = scene.post(path + "/undo");
    EXPECT_EQ(view["judgement"]["verdict"], "kept");
}

// A card that cannot be is an error like any other: told at its place, and mended by typing.
TEST_F(LinkQuestions, AFigureThatCannotBeIsToldAndAnUnlikelyOneIsACautionOfItsPart) {
    const AskedJson at = {"parts", "U1", "ideality"};
    scene.write("odd.link.toml", replaced(before, "card = \"four-pin-coupler-b\"",
                                          "card = \"four-pin-coupler-b\", ideality = 0.5"));
    path = "/api/links/" + scene.id_of("odd.link.toml");
    view = scene.get(path);
    EXPECT_TRUE(view["judgement"].is_null());
    ASSERT_EQ(view["problems"].size(), 1U) << view["problems"].dump();
    EXPECT_EQ(view["problems"][0]["at"], at);
    const std::string message = view["problems"][0]["message"];
    EXPECT_NE(message.find("U1 (card four-pin-coupler-b) cannot be: ideality"), std::string::npos)
        << message;
    view = scene.post(path + "/edit", trial(view, at, "3"));
    ASSERT_TRUE(view["judgement"].is_object()) << view["problems"].dump();
    std::string part;
    for (const auto& caution : view["judgement"]["cautions"]) {
        const std::string text = caution["text"];
        if (text.starts_with("Unlikely of U1")) part = caution["part"];
    }
    EXPECT_EQ(part, "U1");
    view = scene.post(path + "/edit", trial(view, at, "1.6"));
    EXPECT_EQ(view["judgement"]["verdict"], "kept");
    for (const auto& caution : view["judgement"]["cautions"]) {
        EXPECT_FALSE(caution["text"].get<std::string>().starts_with("Unlikely")) << caution;
    }
}

TEST_F(LinkQuestions, AnEditOfAnOlderTextIsRefused) {
    const AskedJson old = view;
    edit("1k5");
    const Reply reply = scene.post_reply(path + "/edit", trial(old, r1, "2k2"));
    EXPECT_EQ(reply.status, 409);
    EXPECT_NE(scene.read("bell-hammer.link.toml").find("1k5"), std::string::npos);
}

TEST_F(LinkQuestions, AChangeOutsideIsShownAndNeverOverwritten) {
    const std::string theirs = replaced(before, "330 Ω ± 5 %", "390 Ω ± 5 %");
    scene.write("bell-hammer.link.toml", theirs);
    edit("1k5");
    EXPECT_FALSE(view["saved"]);
    EXPECT_EQ(view["outside"]["text"], theirs);
    EXPECT_EQ(scene.read("bell-hammer.link.toml"), theirs);
    EXPECT_NE(view["text"].get<std::string>().find("1k5"), std::string::npos);
    const AskedJson taken = scene.post(path + "/outside", {{"take", "mine"}});
    EXPECT_TRUE(taken["outside"].is_null());
    EXPECT_NE(scene.read("bell-hammer.link.toml").find("1k5"), std::string::npos);
    EXPECT_EQ(scene.post(path + "/undo")["text"], theirs);  // theirs is not lost either
}

TEST_F(LinkQuestions, ThePulseTellsOfAChangeOutside) {
    EXPECT_FALSE(scene.get("/api/pulse")["links"][0]["outside"]);
    scene.write("bell-hammer.link.toml", before + "\n# theirs\n");
    EXPECT_TRUE(scene.get("/api/pulse")["links"][0]["outside"]);
    view = scene.post(path + "/outside", {{"take", "file"}});
    EXPECT_EQ(view["text"], before + "\n# theirs\n");
}

TEST_F(LinkQuestions, KeepAnEditThatCannotBeSaved) {
    std::filesystem::remove(scene.folder() / "bell-hammer.link.toml");
    std::filesystem::create_directory(scene.folder() / "bell-hammer.link.toml");
    edit("1k5");
    EXPECT_FALSE(view["saved"]);
    EXPECT_NE(view["text"].get<std::string>().find("1k5"), std::string::npos);
    EXPECT_TRUE(view["outside"].is_object() || view["trouble"] != "") << view.dump();
}

TEST_F(LinkQuestions, TellOfAPart) {
    const AskedJson part = scene.get(path + "/part", {{"name", "R1"}});
    ASSERT_FALSE(part["steps"].empty());
    ASSERT_GE(part["choices"].size(), 5U);
    EXPECT_EQ(part["choices_from"], "the E24 series");
    int taken = 0;
    for (const auto& choice : part["choices"]) {
        taken += choice["taken"].get<bool>() ? 1 : 0;
        AskedJson order = {{"edits", choice["edits"]}, {"revision", view["revision"]}};
        const AskedJson tried = scene.post(path + "/try", order);
        EXPECT_EQ(tried["judgement"]["verdict"], choice["verdict"]) << choice.dump();
    }
    EXPECT_EQ(taken, 1);
    EXPECT_EQ(scene.get_reply(path + "/part", {{"name", "R77"}}).status, 404);
}

TEST_F(LinkQuestions, OfferOtherCardsForAPart) {
    const AskedJson part = scene.get(path + "/part", {{"name", "U1"}});
    EXPECT_EQ(part["choices_from"], "cards");
    ASSERT_GE(part["choices"].size(), 3U);
    const auto& best = part["choices"][0];
    AskedJson order = {{"edits", best["edits"]}, {"revision", view["revision"]}};
    EXPECT_EQ(scene.post(path + "/try", order)["judgement"]["verdict"], best["verdict"]);
}

TEST_F(LinkQuestions, PutACaseOn) {
    const AskedJson worst =
        scene.get(path + "/case", {{"promise", "0"}, {"end", "lowest"}, {"state", "on"}});
    EXPECT_NE(worst["words"].get<std::string>().find("lowest value"), std::string::npos);
    EXPECT_NE(worst["schematic"], view["judgement"]["schematic"]);
    EXPECT_EQ(scene.get_reply(path + "/case", {{"promise", "7"}}).status, 404);
    EXPECT_EQ(scene.get_reply(path + "/case", {{"promise", "-1"}}).status, 404);
    EXPECT_EQ(scene.get_reply(path + "/case", {{"promise", "99999999999999"}}).status, 404);
}

TEST_F(LinkQuestions, ShowTheProofInPictures) {
    const AskedJson proof = scene.get(path + "/proof");
    std::vector<std::string> names;
    for (const auto& section : proof["sections"]) names.push_back(section["name"]);
    EXPECT_EQ(names, (std::vector<std::string>{"Margins", "Load lines", "Population", "Life"}));
    EXPECT_FALSE(proof["steps"].empty());
    EXPECT_EQ(proof["emitters"]["name"], "Emitters over 10 years");
    const AskedJson& emitter = proof["emitters"]["list"].at(0);
    EXPECT_EQ(emitter["title"], "U1");
    EXPECT_EQ(emitter["lines"].at(0), "5 % of it, 4 383 h, at 10.5 mA (on)");
    EXPECT_EQ(emitter["lines"].at(1), "95 %, 83 277 h, dark (off)");
}

TEST_F(LinkQuestions, HandOverFiles) {
    const auto file = [&](std::map<std::string, std::string> query) {
        return scene.get_reply(path + "/export", std::move(query));
    };
    const Reply report = file({{"what", "report"}});
    EXPECT_EQ(report.download_name, "bell-hammer.html");
    EXPECT_NE(report.body.find("<h1>Bell hammer</h1>"), std::string::npos);
    EXPECT_EQ(AskedJson::parse(file({{"what", "check"}}).body)["verdict"], "kept");
    EXPECT_EQ(file({{"what", "link"}}).body, before);
    EXPECT_TRUE(file({{"what", "picture"}, {"name", "schematic-on"}, {"as", "png"}})
                    .body.starts_with("\x89PNG"));
    EXPECT_TRUE(file({{"what", "picture"}, {"name", "schematic-on"}, {"as", "pdf"}})
                    .body.starts_with("%PDF"));
    EXPECT_TRUE(file({{"what", "picture"}, {"name", "schematic-on"}}).body.starts_with("<svg"));
    EXPECT_TRUE(file({{"what", "parts"}}).body.starts_with("designators,"));
    EXPECT_TRUE(file({{"what", "nodes"}}).body.starts_with("side,node,holes"));
    EXPECT_EQ(file({{"what", "secrets"}}).status, 404);
    EXPECT_EQ(file({{"what", "picture"}, {"name", "../x"}}).status, 404);
    EXPECT_EQ(file({{"what", "plan"}, {"board", "no such"}}).status, 400);
}

TEST_F(LinkQuestions, RefuseWhatIsNoEdit) {
    for (const char* body :
         {R"({"edits": 7})", R"({"edits": [7]})", R"({"edits": [{}]})",
          R"({"edits": [{"at": [], "text": "x"}]})",
          R"({"edits": [{"at": ["a", -1], "text": "x"}]})",
          R"({"edits": [{"at": ["a"], "text": 7}]})", R"({"edits": [{"append": ["a", "b", "c"]}]})",
          R"({"edits": [{"whole": 7}]})", R"({"edits": [{"remove": "x"}]})"}) {
        AskedJson order = AskedJson::parse(body);
        order["revision"] = view["revision"];
        EXPECT_EQ(scene.post_reply(path + "/edit", order).status, 400) << body;
        EXPECT_EQ(scene.post_reply(path + "/try", order).status, 400) << body;
    }
    EXPECT_EQ(scene.read("bell-hammer.link.toml"), before);
}

TEST_F(LinkQuestions, TakeNamesWithCommasBetweenThem) {
    view = scene.post(path + "/edit", trial(view, {"promise", 0, "voltage"}, "supply,  Q1.base"));
    EXPECT_EQ(scene.read("bell-hammer.link.toml"),
              replaced(before, R"(["supply", "coil"])", R"(["supply", "Q1.base"])"));
    EXPECT_EQ(view["undo"], "promise 1 voltage: supply, coil to supply,  Q1.base");
    for (const auto& group : view["settings"]) {
        if (group["promise"] != 0) continue;
        for (const auto& field : group["fields"]) {
            if (field["key"] != "voltage") continue;
            EXPECT_EQ(field["text"], "supply, Q1.base");
        }
    }
    view = scene.post(path + "/edit", trial(view, {"promise", 0, "voltage"}, "coil"));
    EXPECT_NE(scene.read("bell-hammer.link.toml").find("voltage = \"coil\""), std::string::npos);
    view = scene.post(path + "/edit", trial(view, {"choose", "gaps"}, "fast-coupler"));
    EXPECT_NE(scene.read("bell-hammer.link.toml").find("gaps = [\"fast-coupler\"]"),
              std::string::npos);
}

TEST_F(LinkQuestions, AddAndTakeOutPromises) {
    AskedJson order = {
        {"edits",
         {{{"append", {"promise"}},
           {"values", {{"state", "on"}, {"voltage", {"supply", "coil"}}, {"at_most", "40 V"}}}}}},
        {"revision", view["revision"]}};
    view = scene.post(path + "/edit", order);
    ASSERT_EQ(view["judgement"]["promises"].size(), 3U);
    EXPECT_EQ(view["judgement"]["promises"][2]["bounds"], "≤ 40 V");
    order = {{"edits", {{{"remove", {"promise", 2}}}}}, {"revision", view["revision"]}};
    view = scene.post(path + "/edit", order);
    EXPECT_EQ(view["judgement"]["promises"].size(), 2U);
    EXPECT_EQ(scene.read("bell-hammer.link.toml"), before);
}

}  // namespace
}  // namespace gapwright
