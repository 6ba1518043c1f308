// What the parts of a link cannot be is an error of the link, what is unlikely of them its doubt.
#include "fit/link_cards.hpp"

#include <gtest/gtest.h>

#include <filesystem>

#include "card/card_reading.hpp"
#include "fit/card_check.hpp"
#include "support/card_folder.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::CardFolder;
using testing_support::plain_link;
using testing_support::with;

constexpr const char* coupler = R"({ card = "four-pin-coupler-b" })";

Expected<Link> checked(const std::string& text, const std::string& folder = "no-such-folder") {
    return read_checked_link(std::make_shared<const SourceText>("test.link.toml", text), folder);
}

std::string under(const Place& place) {
    return std::string(place.text->text().substr(place.begin, place.end - place.begin));
}

TEST(LinkCards, WhatCannotBeIsAnErrorAtItsPlace) {
    const std::string text =
        with(plain_link(), coupler, R"({ card = "four-pin-coupler-b", ideality = 0.5 })");
    const auto link = checked(text);
    ASSERT_FALSE(link);
    ASSERT_EQ(link.error().size(), 1U) << to_text(link.error());
    const Diagnostic& told = link.error().front();
    EXPECT_EQ(told.cause, Cause::impossible_figure);
    EXPECT_EQ(told.place.text->name(), "test.link.toml");
    EXPECT_EQ(under(told.place), "0.5");
    EXPECT_TRUE(told.message.starts_with("U1 (card four-pin-coupler-b) cannot be: ideality of 0.5"))
        << told.message;
    EXPECT_FALSE(told.remedy.empty());
    EXPECT_FALSE(
        read_solvable_link(std::make_shared<const SourceText>("test.link.toml", text), "."));
}

TEST(LinkCards, OfOneCardInSeveralPartsItIsToldOnceAndAllFindingsTogether) {
    const CardFolder folder;
    folder.write("lamp.card.toml",
                 "kind = \"led\"\nforward = \"2 V (1.8 .. 2.2 V) at 20 mA\"\nideality = 0.5\n");
    const std::string text = with(with(plain_link(), "R1 > U1", "R1 > D1 > D2 > U1"), "[states]",
                                  "D1 = { card = \"lamp\" }\nD2 = { card = \"lamp\" }\n[states]");
    const auto link = checked(
        with(text, coupler, R"({ kind = "coupler", forward = "1.2 V at 10 mA", ideality = 7 })"),
        folder.path().string());
    ASSERT_FALSE(link);
    ASSERT_EQ(link.error().size(), 2U) << to_text(link.error());
    const std::string all = to_text(link.error());
    EXPECT_NE(all.find("U1 cannot be: ideality of 7"), std::string::npos) << all;
    EXPECT_NE(all.find("D1, D2 (card lamp) cannot be: ideality of 0.5"), std::string::npos) << all;
    EXPECT_NE(all.find("lamp.card.toml:3:"), std::string::npos) << all;
}

TEST(LinkCards, HalvesOfAPairAreChecked) {
    const auto pair = [](const std::string& emitter, const std::string& receiver) {
        return checked(with(plain_link(), coupler,
                            "{ kind = \"pair\", emitter = " + emitter + ", receiver = " + receiver +
                                ", distance = \"5 mm\" }"));
    };
    const std::string led = "\"infrared-led\"";
    const std::string receiver = "\"infrared-receiver\"";
    EXPECT_TRUE(pair(led, receiver));
    const auto bad_emitter = pair(R"({ card = "infrared-led", bandgap = "9 eV" })", receiver);
    ASSERT_FALSE(bad_emitter);
    EXPECT_TRUE(bad_emitter.error().front().message.starts_with("U1's emitter (card infrared-led)"))
        << to_text(bad_emitter.error());
    const auto bad_receiver =
        pair(led, R"({ card = "infrared-receiver", early_voltage = "0.5 V" })");
    ASSERT_FALSE(bad_receiver);
    EXPECT_TRUE(bad_receiver.error().front().message.starts_with("U1's receiver"))
        << to_text(bad_receiver.error());
}

TEST(LinkCards, WhatIsUnlikelyIsADoubtOfItsPart) {
    const auto link =
        checked(with(plain_link(), coupler,
                     R"({ card = "four-pin-coupler-b", ideality = 3, early_voltage = "5 V" })"));
    ASSERT_TRUE(link) << to_text(link.error());
    ASSERT_EQ(link->doubts.size(), 2U);
    for (const auto& doubt : link->doubts) {
        ASSERT_TRUE(doubt.part);
        EXPECT_EQ(link->parts[*doubt.part].name, "U1");
        EXPECT_TRUE(doubt.text.starts_with("Unlikely of U1 (card four-pin-coupler-b): "))
            << doubt.text;
        EXPECT_TRUE(doubt.text.ends_with(".")) << doubt.text;
    }
}

// A card without source, limits and spreads has gaps, which other cautions tell.
TEST(LinkCards, GapsInACardAreNoDoubts) {
    const CardFolder folder;
    folder.write(
        "bare.card.toml",
        "kind = \"coupler\"\nforward = \"1.2 V at 10 mA\"\nctr = \"100 % at 5 mA, 5 V\"\n");
    const auto card = read_card((folder.path() / "bare.card.toml").string());
    ASSERT_TRUE(card);
    EXPECT_FALSE(check_card(card->card, {}).empty());
    const auto link =
        checked(with(plain_link(), coupler, "{ card = \"bare\" }"), folder.path().string());
    ASSERT_TRUE(link) << to_text(link.error());
    EXPECT_TRUE(link->doubts.empty()) << link->doubts.front().text;
}

// Points that lie far from the card's own curve.
TEST(LinkCards, PointsFarFromTheirCardAreADoubt) {
    const CardFolder folder;
    const std::string card =
        "kind = \"led\"\nsource = \"made up\"\nforward = \"2 V (1.8 .. 2.2 V) at 20 mA\"\n"
        "[[points]]\nforward_current = \"20 mA\"\nforward_voltage = \"2 V\"\n"
        "[[points]]\nforward_current = \"10 mA\"\nforward_voltage = \"";
    folder.write("right.card.toml", card + "1.95 V\"\n");
    folder.write("wrong.card.toml", card + "3.9 V\"\n");
    const auto lit_by = [&](const std::string& name) {
        return checked(with(with(plain_link(), "R1 > U1", "R1 > D1 > U1"), "[states]",
                            "D1 = { card = \"" + name + "\" }\n[states]"),
                       folder.path().string());
    };
    const auto right = lit_by("right");
    ASSERT_TRUE(right) << to_text(right.error());
    EXPECT_TRUE(right->doubts.empty());
    const auto wrong = lit_by("wrong");
    ASSERT_TRUE(wrong) << to_text(wrong.error());
    ASSERT_EQ(wrong->doubts.size(), 1U);
    EXPECT_TRUE(wrong->doubts.front().text.starts_with(
        "Unlikely of D1 (card wrong): 1 of the card's 2 points lie far from its model"))
        << wrong->doubts.front().text;
}

// Reading comes first: its errors are told, and figures are looked at once there are none.
TEST(LinkCards, OfALinkThatCannotBeReadItsOwnErrorsAreTold) {
    const auto link = checked(
        with(with(plain_link(), coupler, R"({ card = "four-pin-coupler-b", ideality = 0.5 })"),
             "\"9 V\"", "\"nine\""));
    ASSERT_FALSE(link);
    for (const auto& told : link.error()) EXPECT_NE(told.cause, Cause::impossible_figure);
}

TEST(LinkCards, ExamplesHaveNeitherErrorsNorDoubts) {
    std::size_t read = 0;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (!entry.path().string().ends_with(".link.toml")) continue;
        const auto link = read_solvable_link_file(entry.path().string());
        ASSERT_TRUE(link) << to_text(link.error());
        for (const auto& doubt : link->link.doubts) ADD_FAILURE() << entry.path() << doubt.text;
        ++read;
    }
    EXPECT_GT(read, 3U);
}

}  // namespace
}  // namespace gapwright
