// What a link does when its input side is dead, against the same link with its emitter pulled out
// of the path: no current at all reaches it.
#include "design/judging/when_dead.hpp"

#include <gtest/gtest.h>

#include "design/design.hpp"
#include "design_support.hpp"
#include "need_support.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

TEST(WhenDead, IsOffUnlessTheNeedAsksOtherwise) {
    for (const std::string asked : {"", "off", "on", "any"}) {
        std::string text = plain_need();
        if (!asked.empty()) {
            const std::string at = "[choose]";
            text.insert(text.find(at), "when_dead = \"" + asked + "\"\n");
        }
        const auto need = need_from(text);
        ASSERT_TRUE(need) << to_text(need.error());
        bool some_follow = false;
        bool some_invert = false;
        for (const auto& draft : drafts_of(*need)) {
            const bool inverted = draft.output.find("inverted") != std::string::npos;
            some_invert = some_invert || inverted;
            some_follow = some_follow || !inverted;
        }
        EXPECT_EQ(some_follow, asked != "on") << asked;
        EXPECT_EQ(some_invert, asked == "on" || asked == "any") << asked;
    }
}

TEST(WhenDead, AWordThatIsNoneIsTold) {
    std::string text = plain_need();
    text.insert(text.find("[choose]"), "when_dead = \"of\"\n");
    const auto need = need_from(text);
    ASSERT_FALSE(need);
    EXPECT_NE(to_text(need.error()).find("did you mean \"off\""), std::string::npos)
        << to_text(need.error());
}

TEST(WhenDead, IsWhatALinkWithItsInputCutDoes) {
    const Folder folder;
    for (const std::string asked : {"off", "on"}) {
        std::string text = plain_need();
        text.insert(text.find("[choose]"), "when_dead = \"" + asked + "\"\n");
        const auto design =
            design_file(folder.write("plain.link.toml", text), {.most_answers = 2, .samples = 200});
        ASSERT_TRUE(design) << design.error().message;
        for (const auto& answer : design->answers) {
            EXPECT_EQ(answer.when_dead, std::vector<std::string>{asked});
            // The drive put aside, in every state.
            std::string cut = answer.text;
            const std::string supply = "supply = \"5 V ± 5 %\"";
            ASSERT_NE(cut.find(supply), std::string::npos);
            cut.replace(cut.find(supply), supply.size(), "supply = \"1 µV\"");
            for (std::string high = "high = \"4.75 .. 5 V\"";
                 cut.find(high) != std::string::npos;) {
                cut.replace(cut.find(high), high.size(), "high = \"1 µV\"");
            }
            const auto link = link_of(cut);
            ASSERT_TRUE(link) << to_text(link.error());
            const auto circuit = build_circuit(*link);
            ASSERT_TRUE(circuit);
            const auto proof = prove(*link, *circuit, {.nominal_only = true});
            ASSERT_TRUE(proof);
            for (const auto& state : proof->states) {
                for (const auto& [name, amperes] : state.currents) {
                    if (name != "K1") continue;
                    if (asked == "off") {
                        EXPECT_LT(std::abs(amperes), 1.2 / 440) << state.name;
                    } else {
                        EXPECT_GT(std::abs(amperes), 8.4 / 440) << state.name;
                    }
                }
            }
        }
    }
}

}  // namespace
}  // namespace gapwright
