// Cards: what is read, what is refused, where they are found.
#include "card/description.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "card/card_shelf.hpp"
#include "card/key.hpp"
#include "card/shipped_cards.hpp"

namespace gapwright {
namespace {

struct Read {
    std::optional<Description> description;
    Problems problems;
};

Read read_card(const std::string& text, std::vector<std::filesystem::path> folders = {}) {
    const auto document = read_toml(std::make_shared<const SourceText>("test.card.toml", text));
    if (!document) return {std::nullopt, document.error()};
    CardShelf shelf(std::move(folders));
    Read read;
    read.description = read_description(document->root, document->start(), {.is_card = true}, shelf,
                                        read.problems);
    return read;
}

TEST(ShippedCards, AreAllReadableAndSayWhereTheirFiguresComeFrom) {
    CardShelf shelf({});
    EXPECT_GE(shipped_cards().size(), 25U);
    for (const auto& card : shipped_cards()) {
        Problems problems;
        const auto description = shelf.find(std::string(card.name), {}, problems);
        EXPECT_TRUE(description) << to_text(problems);
        if (!description) continue;
        EXPECT_FALSE(description->name.empty()) << card.name;
        EXPECT_NE(description->source.find("common practice"), std::string::npos) << card.name;
    }
}

TEST(ShippedCards, OfCouplersSayWhatTheyInsulate) {
    CardShelf shelf({});
    std::size_t couplers = 0;
    for (const auto& card : shipped_cards()) {
        Problems problems;
        const auto description = shelf.find(std::string(card.name), {}, problems);
        if (!description || description->kind != Kind::coupler) continue;
        ++couplers;
        for (const Key key : {Key::isolation_test_voltage, Key::repetitive_peak_voltage,
                              Key::transient_peak_voltage, Key::external_clearance,
                              Key::external_creepage, Key::distance_through_insulation}) {
            EXPECT_TRUE(description->find(key)) << card.name << ": " << key_name(key);
        }
        EXPECT_EQ(description->choice(Key::material_group, ""), "IIIa") << card.name;
    }
    EXPECT_EQ(couplers, 5U);
}

TEST(Description, InsulationOfACouplerStandsInItsGroupOrFlat) {
    const std::string head =
        "kind = \"coupler\"\nforward = \"1.2 V at 10 mA\"\nctr = \"100 % at 5 mA, 5 V\"\n";
    const auto grouped =
        read_card(head + "[insulation]\nexternal_creepage = \"8 mm\"\nmaterial_group = \"II\"\n");
    ASSERT_TRUE(grouped.description) << to_text(grouped.problems);
    EXPECT_DOUBLE_EQ(grouped.description->nominal(Key::external_creepage), 8e-3);
    EXPECT_EQ(grouped.description->choice(Key::material_group, ""), "II");
    EXPECT_FALSE(grouped.description->find(Key::external_clearance)) << "nobody stated it";
    const auto flat = read_card(head + "external_creepage = \"8 mm\"\n");
    ASSERT_TRUE(flat.description) << to_text(flat.problems);
    EXPECT_DOUBLE_EQ(flat.description->nominal(Key::external_creepage), 8e-3);
    const auto wrong = read_card(head + "[insulation]\nmaterial_group = \"IV\"\n");
    ASSERT_FALSE(wrong.description);
    EXPECT_NE(to_text(wrong.problems).find("material_group is one of I, II, IIIa, IIIb"),
              std::string::npos);
    const auto other = read_card("kind = \"diode\"\n[insulation]\nmaterial_group = \"I\"\n");
    ASSERT_FALSE(other.description) << "only couplers insulate";
}

TEST(Description, DefaultsAreMarkedAsAssumed) {
    const auto read = read_card("kind = \"led\"\nforward = \"2 V at 20 mA\"\n");
    ASSERT_TRUE(read.description) << to_text(read.problems);
    EXPECT_EQ(read.description->nominal(Key::ideality), 2.0);
    EXPECT_TRUE(read.description->find(Key::ideality)->assumed);
    EXPECT_FALSE(read.description->find(Key::forward)->assumed);
}

TEST(Description, SpreadTableGivesLimitsToFiguresWithoutOne) {
    const auto read = read_card(
        "kind = \"transistor\"\n[model]\ngain = 300\nearly_voltage = \"80 V ± 5 V\"\n"
        "[spread]\ngain = \"200 .. 500\"\nearly_voltage = \"± 50 %\"\n"
        "distribution = \"normal\"\n");
    ASSERT_TRUE(read.description) << to_text(read.problems);
    const Figure& gain = *read.description->find(Key::gain);
    EXPECT_EQ(gain.spread.nominal, 300);
    EXPECT_EQ(gain.spread.lowest, 200);
    EXPECT_EQ(gain.spread.highest, 500);
    EXPECT_TRUE(gain.normal);
    EXPECT_EQ(read.description->find(Key::early_voltage)->spread.lowest, 75);  // its own is kept
}

TEST(Description, SpreadTableServesAFigureThatIsOverriddenWithoutOne) {
    const std::string base =
        "kind = \"transistor\"\ngain = 200\nearly_voltage = \"80 V ± 5 V\"\n"
        "[spread]\ngain = \"100 .. 400\"\n";
    const auto document = read_toml(std::make_shared<const SourceText>("base", base));
    CardShelf shelf({});
    Problems problems;
    const auto card =
        read_description(document->root, document->start(), {.is_card = true}, shelf, problems);
    ASSERT_TRUE(card) << to_text(problems);
    EXPECT_EQ(card->find(Key::gain)->spread.highest, 400);
    EXPECT_EQ(card->spreads.size(), 1U);
}

TEST(Description, RelativeSpread) {
    const auto read =
        read_card("kind = \"coil\"\nresistance = \"100 Ω\"\n[spread]\nresistance = \"± 10 %\"\n");
    ASSERT_TRUE(read.description) << to_text(read.problems);
    EXPECT_NEAR(read.description->find(Key::resistance)->spread.highest, 110, 1e-9);
}

TEST(Description, PolaritiesByKeyOrByKind) {
    for (const char* text :
         {"kind = \"transistor\"\npolarity = \"pnp\"", "kind = \"pnp transistor\"",
          "kind = \"transistor\"\ntype = \"pnp\""}) {
        const auto read = read_card(text);
        ASSERT_TRUE(read.description) << text << to_text(read.problems);
        EXPECT_EQ(read.description->choice(Key::polarity, "npn"), "pnp") << text;
    }
    const auto fet = read_card("kind = \"mosfet\"\nchannel = \"p-channel\"");
    ASSERT_TRUE(fet.description) << to_text(fet.problems);
    EXPECT_EQ(fet.description->choice(Key::channel, "n"), "p");
}

struct BadCard {
    const char* text;
    Cause cause;
};
TEST(Description, FaultsAreTold) {
    const BadCard bad[] = {
        {"name = \"x\"\n", Cause::missing_key},
        {"kind = \"lde\"\n", Cause::unknown_name},
        {"kind = \"led\"\n", Cause::missing_key},
        {"kind = \"led\"\nforward = \"2 V\"\n", Cause::not_a_quantity},
        {"kind = \"led\"\nforward = \"2 V at 0 mA\"\n", Cause::out_of_range},
        {"kind = \"led\"\nforward = 2\n", Cause::missing_unit},
        {"kind = \"led\"\nforward = [2]\n", Cause::wrong_type},
        {"kind = \"led\"\nforward = \"2 V at 20 mA\"\n[transfer]\nctr = 1\n", Cause::unknown_key},
        {"kind = \"coil\"\nresistance = \"0 Ω\"\n", Cause::out_of_range},
        {"kind = \"transistor\"\npolarity = \"nnp\"\n", Cause::unknown_name},
        {"kind = \"transistor\"\n[spread]\ngian = \"2 .. 3\"\n", Cause::unknown_key},
        {"kind = \"transistor\"\n[spread]\ngain = \"2 .. 3\"\ndistribution = \"odd\"\n",
         Cause::unknown_key},
        {"kind = \"transistor\"\ngain = 100\n[spread]\ngain = \"2 .. 3\"\n", Cause::empty_spread},
        {"kind = \"transistor\"\ngain = 100\n[spread]\ngain = \"-50 .. 400\"\n",
         Cause::out_of_range},
        {"kind = \"transistor\"\ngain = 100\n[spread]\ngain = \"± 150 %\"\n", Cause::out_of_range},
        {"kind = \"pair\"\nemitter = \"red-led\"\nreceiver = \"red-led\"\ndistance = \"8 mm\"\n",
         Cause::contradiction},
        {"kind = \"pair\"\nemitter = \"red-led\"\nreceiver = \"infrared-receiver\"\n"
         "distance = \"8 mm\"\n",
         Cause::missing_key},
        {"kind = \"pair\"\nemitter = \"infrared-led\"\nreceiver = \"infrared-receiver\"\n"
         "distance = \"8 mm\"\nshroud = \"120 %\"\n",
         Cause::out_of_range},
        {"kind = \"led\"\nforward = \"2 V at 20 mA\"\nhalf_angle = \"95 °\"\n",
         Cause::out_of_range},
        {"kind = \"logic input\"\nlow_below = \"2 V\"\nhigh_above = \"1 V\"\n",
         Cause::contradiction},
        {"kind = \"coil\"\nresistance = \"1 Ω\"\npull_in = \"2 V\"\ndrop_out = \"3 V\"\n",
         Cause::contradiction},
        {"based_on = \"no-such-card\"\n", Cause::unknown_name},
        {"based_on = \"../red-led\"\n", Cause::unknown_name},
        {"based_on = \"red-led\"\nkind = \"diode\"\n", Cause::contradiction},
    };
    for (const auto& b : bad) {
        const auto read = read_card(b.text);
        EXPECT_FALSE(read.description) << b.text;
        ASSERT_FALSE(read.problems.empty()) << b.text;
        EXPECT_EQ(cause_name(read.problems[0].cause), cause_name(b.cause))
            << b.text << to_text(read.problems);
    }
}

class CardFolder : public testing::Test {
  protected:
    void SetUp() override {
        folder_ = std::filesystem::temp_directory_path() /
                  ("gapwright-cards-" + std::to_string(::getpid()));
        std::filesystem::create_directories(folder_ / "cards");
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }
    void write(const std::string& name, const std::string& text) const {
        std::ofstream(folder_ / name) << text;
    }
    std::filesystem::path folder_;
};

TEST_F(CardFolder, OwnCardsComeBeforeShippedOnes) {
    write("red-led.card.toml", "kind = \"led\"\nname = \"Ours\"\nforward = \"1.9 V at 10 mA\"\n");
    write("cards/red-led.card.toml", "kind = \"led\"\nname = \"Second\"\n");
    CardShelf shelf({folder_, folder_ / "cards"});
    Problems problems;
    const auto card = shelf.find("red-led", {}, problems);
    ASSERT_TRUE(card) << to_text(problems);
    EXPECT_EQ(card->name, "Ours");
}

TEST_F(CardFolder, CardsMayBuildOnOthersButNotInACircle) {
    write("cards/dim.card.toml", "based_on = \"red-led\"\nname = \"Dim\"\nideality = 2.5\n");
    write("a.card.toml", "based_on = \"b\"\n");
    write("b.card.toml", "based_on = \"a\"\n");
    CardShelf shelf({folder_, folder_ / "cards"});
    Problems problems;
    const auto dim = shelf.find("dim", {}, problems);
    ASSERT_TRUE(dim) << to_text(problems);
    EXPECT_EQ(dim->nominal(Key::ideality), 2.5);
    EXPECT_EQ(dim->nominal(Key::forward), 2.0);
    write("wide.card.toml", "kind = \"transistor\"\ngain = 200\n[spread]\ngain = \"100 .. 400\"\n");
    write("other.card.toml", "based_on = \"wide\"\ngain = 210\n");
    write("beyond.card.toml", "based_on = \"wide\"\ngain = 500\n");
    const auto other = shelf.find("other", {}, problems);
    ASSERT_TRUE(other) << to_text(problems);
    EXPECT_EQ(other->find(Key::gain)->spread.lowest, 100);
    EXPECT_EQ(other->nominal(Key::gain), 210);
    EXPECT_FALSE(shelf.find("beyond", {}, problems));
    ASSERT_EQ(problems.size(), 1U);
    EXPECT_EQ(problems[0].cause, Cause::empty_spread);
    problems.clear();
    EXPECT_FALSE(shelf.find("a", {}, problems));
    ASSERT_FALSE(problems.empty());
    EXPECT_EQ(problems[0].cause, Cause::card_cycle);
    EXPECT_NE(problems[0].message.find("a > b > a"), std::string::npos) << problems[0].message;
}

}  // namespace
}  // namespace gapwright
