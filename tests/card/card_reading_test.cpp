// Cards for the commands about cards: by name, by file, with their points; and what a fit begins
// with where there is none.
#include "card/card_reading.hpp"

#include <gtest/gtest.h>

#include "card/default_card.hpp"
#include "card/key.hpp"
#include "support/card_folder.hpp"

namespace gapwright {
namespace {

using testing_support::CardFolder;

const char* const plain_led = "kind = \"led\"\nforward = \"2 V at 20 mA\"\n";

TEST(CardReading, FindsAShippedCardByItsName) {
    const auto card = read_card("four-pin-coupler-b");
    ASSERT_TRUE(card) << to_text(card.error());
    EXPECT_EQ(card->name, "four-pin-coupler-b");
    EXPECT_EQ(card->card.kind, Kind::coupler);
    EXPECT_TRUE(card->points.empty());
}

TEST(CardReading, ReadsACardsFileWithItsPoints) {
    const CardFolder folder;
    const auto file =
        folder.write("mine.card.toml", std::string(plain_led) +
                                           "[[points]]\nforward_current = \"20 mA\"\n"
                                           "forward_voltage = \"2.05 V\"\nspecimen = \"one\"\n");
    const auto card = read_card(file);
    ASSERT_TRUE(card) << to_text(card.error());
    EXPECT_EQ(card->name, "mine");
    EXPECT_DOUBLE_EQ(card->card.nominal(Key::forward), 2.0);
    ASSERT_EQ(card->points.size(), 1U);
    EXPECT_DOUBLE_EQ(*card->points[0].find("forward_voltage"), 2.05);
    EXPECT_EQ(card->points[0].specimen, "one");
}

TEST(CardReading, ReadsTheNamedFileEvenWhereAShippedCardHasItsName) {
    const CardFolder folder;
    const auto file =
        folder.write("red-led.card.toml", "kind = \"led\"\nforward = \"9 V at 1 A\"\n");
    const auto card = read_card(file);
    ASSERT_TRUE(card) << to_text(card.error());
    EXPECT_DOUBLE_EQ(card->card.nominal(Key::forward), 9.0);
}

TEST(CardReading, FindsTheCardThatAFilesCardIsBasedOnBesideIt) {
    const CardFolder folder;
    folder.write("first.card.toml", plain_led);
    const auto file =
        folder.write("second.card.toml", "based_on = \"first\"\n[model]\nideality = 3\n");
    const auto card = read_card(file);
    ASSERT_TRUE(card) << to_text(card.error());
    EXPECT_DOUBLE_EQ(card->card.nominal(Key::forward), 2.0);
    EXPECT_DOUBLE_EQ(card->card.nominal(Key::ideality), 3.0);
}

TEST(CardReading, MissingFileIsNotSearchedForElsewhere) {
    const CardFolder folder;
    const auto card = read_card((folder.path() / "red-led.card.toml").string());
    ASSERT_FALSE(card);
    EXPECT_NE(to_text(card.error()).find("red-led.card.toml"), std::string::npos)
        << to_text(card.error());
}

TEST(CardReading, UnknownNameIsToldWithTheNearest) {
    const auto card = read_card("for-pin-coupler-b");
    ASSERT_FALSE(card);
    EXPECT_EQ(card.error().at(0).cause, Cause::unknown_name);
    EXPECT_NE(to_text(card.error()).find("four-pin-coupler-b"), std::string::npos)
        << to_text(card.error());
}

TEST(CardReading, BrokenPointsAreAnError) {
    const CardFolder folder;
    const auto file = folder.write(
        "mine.card.toml", std::string(plain_led) + "[[points]]\nforward_current = \"20 V\"\n");
    const auto card = read_card(file);
    ASSERT_FALSE(card);
    EXPECT_EQ(card.error().at(0).cause, Cause::wrong_unit);
    EXPECT_NE(to_text(card.error()).find("mine.card.toml:4:"), std::string::npos)
        << to_text(card.error());
}

TEST(CardReading, BrokenCardIsAnError) {
    const CardFolder folder;
    EXPECT_FALSE(read_card(folder.write("mine.card.toml", "kind = \"lde\"\n")));
    EXPECT_FALSE(read_card(folder.write("torn.card.toml", "kind = \"led\n")));
}

TEST(DefaultCard, IsThereForTheKindsThatCanBeginWithOneAndAllOfItIsAssumed) {
    for (const Kind kind : {Kind::diode, Kind::led, Kind::coupler, Kind::phototransistor,
                            Kind::light_dependent_resistor}) {
        const auto card = default_card(kind);
        ASSERT_TRUE(card) << kind_rule(kind).name;
        EXPECT_EQ(card->kind, kind);
        EXPECT_FALSE(card->figures.empty());
        for (const auto& [key, figure] : card->figures) {
            EXPECT_TRUE(figure.assumed) << kind_rule(kind).name << " " << key_name(key);
        }
        for (const auto& key : kind_rule(kind).keys) {
            EXPECT_TRUE(!key.needed || card->find(key.key)) << key.name();
        }
    }
}

TEST(DefaultCard, IsNotThereWhereNobodyCanAssumeTheFigures) {
    EXPECT_FALSE(default_card(Kind::zener));
    EXPECT_FALSE(default_card(Kind::coil));
    EXPECT_FALSE(default_card(Kind::resistor));
}

}  // namespace
}  // namespace gapwright
