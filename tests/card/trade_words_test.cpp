// What people call parts leads to the kinds that these are here.
#include "card/trade_words.hpp"

#include <gtest/gtest.h>

#include <memory>
#include <set>
#include <sstream>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/trade_word_table.hpp"

namespace gapwright {
namespace {

struct RemedyCase {
    std::string_view word;
    KindPlace place;
    std::string_view remedy;
};

const RemedyCase remedies[] = {
    {"switch", KindPlace::part, R"(write kind = "contact")"},
    {"Push-Button", KindPlace::part, R"(write kind = "contact")"},
    {"button", KindPlace::drawer, "write contact"},
    {"buttons", KindPlace::drawer, "write contact"},
    {"sensor", KindPlace::part, R"(write kind = "contact" (a sensor's switching output))"},
    {"relay", KindPlace::part,
     R"(write kind = "coil" (its winding) or kind = "contact" (its contacts))"},
    {"lamp", KindPlace::part,
     R"(write kind = "load" (a lamp that is switched) or kind = "led" (one that lights a receiver))"},
    {"bulb", KindPlace::drawer,
     "write load (a lamp that is switched) or led (one that lights a receiver)"},
    {"ldr", KindPlace::card, R"(write kind = "light-dependent resistor")"},
    {"LDR", KindPlace::part,
     R"(write { kind = "pair", emitter = "white-lamp-led", receiver = "ldr-5mm", distance = "10 mm" }: it receives in a pair)"},
    {"photoresistor", KindPlace::card, R"(write kind = "light-dependent resistor")"},
    {"photocell", KindPlace::option, R"(write --kind "light-dependent resistor")"},
    {"optocoupler", KindPlace::part, R"(write kind = "coupler")"},
    {"opto-isolator", KindPlace::part, R"(write kind = "coupler")"},
    {"battery", KindPlace::part,
     R"(write supply = "9 V" below [input] or [output]: a battery is its side's supply)"},
    {"power supply", KindPlace::card, R"(write kind = "battery")"},
    {"npn", KindPlace::part, R"(write kind = "npn transistor")"},
    {"BJT", KindPlace::part, R"(write kind = "npn transistor" or kind = "pnp transistor")"},
    {"N-MOSFET", KindPlace::part, R"(write kind = "n-channel mosfet")"},
    {"fet", KindPlace::part, R"(write kind = "n-channel mosfet" or kind = "p-channel mosfet")"},
    {"schottky diode", KindPlace::part, R"(write kind = "diode")"},
    {"zener diode", KindPlace::part, R"(write kind = "zener")"},
    {"LED", KindPlace::part, R"(write kind = "led")"},
    {"Resistor", KindPlace::drawer, "write resistor"},
    {"logic-output", KindPlace::part, R"(write kind = "logic output")"},
    {"NPN Transistor", KindPlace::part, R"(write kind = "npn transistor")"},
    {"photodiode", KindPlace::part,
     R"(no kind is a photodiode: a receiver is a phototransistor's or a light-dependent resistor's card in kind = "pair")"},
    {"contct", KindPlace::part, ""},
    {"", KindPlace::part, ""},
    {"-", KindPlace::part, ""},
};

TEST(TradeWords, HaveOneRemedyEach) {
    for (const RemedyCase& c : remedies)
        EXPECT_EQ(kind_remedy(c.word, c.place), c.remedy) << c.word;
}

TEST(TradeWords, AreKindsOfOursAndStandInOneRow) {
    std::set<std::string> seen;
    for (const TradeWord& row : trade_word_table()) {
        EXPECT_NE(row.kinds[0].kind.empty(), row.note.empty()) << row.words;
        for (const TradeKind& meant : row.kinds) {
            EXPECT_EQ(kind_named(meant.kind).has_value(), !meant.kind.empty()) << meant.kind;
        }
        std::istringstream words{std::string(row.words)};
        for (std::string word; std::getline(words, word, '|');) {
            EXPECT_TRUE(seen.insert(word).second) << word << " stands twice";
            EXPECT_EQ(kind_spelled(word), "") << word << " is a kind itself";
            EXPECT_EQ(trade_word(word), &row) << word;
        }
    }
}

// What remedies tell people to write can be read.
TEST(TradeWords, HaveExamplesThatAreParts) {
    for (const KindRule& rule : kind_rules()) {
        const std::string text = "it = " + std::string(example_part(rule.kind));
        const auto document = read_toml(std::make_shared<const SourceText>("example", text));
        ASSERT_TRUE(document) << text;
        const TomlEntry* entry = document->root.find("it");
        CardShelf shelf({});
        Problems problems;
        const auto part =
            read_description(*entry->value.table(), entry->key_place, {}, shelf, problems);
        ASSERT_TRUE(part) << text << '\n' << to_text(problems);
        const bool receiver = rule.card_only && rule.kind != Kind::battery;
        EXPECT_EQ(part->kind, receiver ? Kind::pair : rule.kind) << text;
    }
}

}  // namespace
}  // namespace gapwright
