// Every mistake a link file can hold is told with its cause, its place and a caret.
#include <gtest/gtest.h>

#include <algorithm>

#include "link/link_circuit.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

struct Mistake {
    std::string name;
    std::string from;  // what in the plain link is replaced
    std::string to;
    Cause cause;
    std::string under;  // the characters that the caret stands under
    std::string told;   // part of the message or remedy
};

void PrintTo(const Mistake& mistake, std::ostream* out) {
    *out << mistake.name;
}

class BadLink : public testing::TestWithParam<Mistake> {};

TEST_P(BadLink, IsToldWithPlaceAndRemedy) {
    const Mistake& m = GetParam();
    std::string text = with(plain_link(), m.from, m.to);
    if (m.under == "U1.base") text = with(text, "supply > R2 > signal", "U1.base > R2 > signal");
    ASSERT_NE(text, plain_link()) << "the mistake was not made";
    auto link = link_from(text);
    Problems problems;
    if (!link) {
        problems = link.error();
    } else if (const auto circuit = build_circuit(*link); !circuit) {
        problems = circuit.error();
    }
    ASSERT_FALSE(problems.empty()) << "nothing was told";
    const auto found = std::ranges::find(problems, m.cause, &Diagnostic::cause);
    ASSERT_NE(found, problems.end()) << to_text(problems);
    const std::string shown = to_text(*found);
    EXPECT_NE(shown.find(m.told), std::string::npos) << shown;
    EXPECT_NE(shown.find('^'), std::string::npos) << shown;
    EXPECT_EQ(shown.rfind("test.link.toml:", 0), 0U) << shown;
    const auto& place = found->place;
    ASSERT_TRUE(place.text);
    EXPECT_EQ(std::string(place.text->text().substr(place.begin, place.end - place.begin)), m.under)
        << shown;
}

const Mistake mistakes[] = {
    {"UnknownTable", "[states]", "[sates]", Cause::unknown_key, "sates", "did you mean \"states\""},
    {"StateOfTwoLines", "[states]", "[states]\n\"o\\nn\" = {}", Cause::contradiction, "\"o\\nn\"",
     "a name is one line"},
    {"UnknownKeyOfPart", "power =", "powr =", Cause::unknown_key, "powr", "did you mean \"power\""},
    {"UnknownSurroundings", "[input]", "[surroundings]\nligth = \"3 lx\"\n[input]",
     Cause::unknown_key, "ligth", "did you mean \"light\""},
    {"WrongUnit", "1 kΩ ± 5 %", "1 kV", Cause::wrong_unit, "1 kV", "in ohms, not volts"},
    {"MissingUnit", "\"1 kΩ ± 5 %\"", "1000", Cause::missing_unit, "1000", "unit"},
    {"MissingUnitInText", "1 kΩ ± 5 %", "1000", Cause::missing_unit, "1000", "unit"},
    {"NegativeResistance", "1 kΩ ± 5 %", "-1 kΩ", Cause::out_of_range, "-1 kΩ", "never below zero"},
    {"NotANumber", "1 kΩ ± 5 %", "nan Ω", Cause::not_a_quantity, "nan", "not a resistance"},
    {"Infinite", "1 kΩ ± 5 %", "1e999 Ω", Cause::out_of_range, "1e999 Ω", "reckoned with"},
    {"PlainInfinity", "card = \"four-pin-coupler-b\"", "card = \"four-pin-coupler-b\", gain = inf",
     Cause::out_of_range, "inf", "finite"},
    {"EmptySpread", "1 kΩ ± 5 %", "5 .. 4 kΩ", Cause::empty_spread, "5 .. 4 kΩ", "lower limit"},
    {"NominalOutside", "1 kΩ ± 5 %", "1 kΩ (2 .. 3 kΩ)", Cause::empty_spread, "1 kΩ (2 .. 3 kΩ)",
     "nominal"},
    {"SharedNode", "supply > S1 > R1 > U1 > return\"",
     "supply > S1 > R1 > signal\", \"signal > U1 > return\"", Cause::shared_across_gap, "signal",
     "isolates nothing"},
    {"PartOnBothSides", "signal > L1 > return", "signal > R1 > return", Cause::shared_across_gap,
     "R1", "isolates nothing"},
    {"PartInNoPath", "[states]", "R9 = { kind = \"resistor\", value = \"1 Ω\" }\n[states]",
     Cause::part_not_in_path, "R9", "stands in no path"},
    {"PartTwice", "signal > L1 > return", "signal > R2 > return", Cause::part_repeated, "R2",
     "exactly one path"},
    {"DanglingNode", "signal > L1 > return", "sgnal > L1 > return", Cause::dangling_node, "sgnal",
     "did you mean \"signal\""},
    {"UndeclaredPart", "signal > L1 > return", "signal > L11 > return", Cause::unknown_name, "L11",
     "did you mean \"L1\""},
    {"TwoNodesTogether", "supply > S1 > R1 > U1", "supply > S11 > R1 > U1", Cause::path_grammar,
     "S11", "did you mean"},
    {"GapWithoutEmitter", "S1 > R1 > U1 > return", "S1 > R1 > return", Cause::unlit_gap, "U1",
     "the emitter of the gap U1 is in no path"},
    {"GapWithoutReceiver", "\"signal > U1 > return\", ", "", Cause::unlit_gap, "U1",
     "the receiver of the gap U1 is in no path"},
    {"ShortAcrossSupply", "supply > S1 > R1 > U1 > return\"",
     "supply > R1 > U1 > return\", \"supply > S1 > return\"", Cause::shorted_supply, "S1",
     "shorts the input side's supply"},
    {"ContradictoryPromise", "at_most = \"0.8 V\"", "at_most = \"0.8 V\"\nat_least = \"2 V\"",
     Cause::contradiction, "\"2 V\"", "at least this and at most that"},
    {"PromiseWithoutBound", "at_most = \"0.8 V\"", "", Cause::missing_key, "[[promise]]",
     "no bound"},
    {"PromiseOnUnknownState", "state = \"on\"", "state = \"onn\"", Cause::unknown_name, "\"onn\"",
     "did you mean \"on\""},
    {"PromiseOnUnknownNode", "voltage = \"signal\"", "voltage = \"signl\"", Cause::unknown_name,
     "\"signl\"", "did you mean \"signal\""},
    {"PromiseOnBothSides", "voltage = \"signal\"", "voltage = \"supply\"", Cause::missing_key,
     "\"supply\"", "add side"},
    {"PromiseAcrossTheGap", "voltage = \"signal\"", "voltage = [\"signal\", \"x\"]",
     Cause::unknown_name, "\"x\"", "no node"},
    {"PromiseOfWrongUnit", "at_most = \"0.8 V\"", "at_most = \"0.8 A\"", Cause::wrong_unit, "0.8 A",
     "a voltage"},
    {"StateAndChange", "state = \"on\"", "state = \"on\"\nchange = [\"off\", \"on\"]",
     Cause::contradiction, "state", "not both"},
    {"MissingCard", "four-pin-coupler-b", "four-pin-coupler-bb", Cause::unknown_name,
     "\"four-pin-coupler-bb\"", "did you mean \"four-pin-coupler-b\""},
    {"UnknownKind", "kind = \"contact\"", "kind = \"contct\"", Cause::unknown_name, "\"contct\"",
     "did you mean \"contact\""},
    {"NoKind", "kind = \"contact\"", "closed_resistance = \"1 Ω\"", Cause::missing_key, "S1",
     "neither `kind` nor `card`"},
    {"UnknownSetting", "S1 = \"closed\"", "S1 = \"shut\"", Cause::unknown_name, "\"shut\"",
     "\"open\" or \"closed\""},
    {"SettingOfAResistor", "S1 = \"closed\"", "R1 = \"closed\"", Cause::contradiction, "R1",
     "no setting"},
    {"PathEndsAtAPart", "signal > L1 > return", "signal > L1", Cause::path_grammar, "L1",
     "starts and ends at a node"},
    {"EmptyItem", "supply > R2 > signal", "supply > > signal", Cause::path_grammar, " >",
     "before and after each >"},
    {"NoSupply", "supply = \"9 V\"\n", "", Cause::missing_key, "supply", "states none"},
    {"ValueToBeChosen", "1 kΩ ± 5 %", "choose", Cause::missing_key, "R1", "still to be chosen"},
    {"TooCold", "[input]", "[surroundings]\ntemperature = \"-80 .. 20 °C\"\n[input]",
     Cause::out_of_range, "\"-80 .. 20 °C\"", "−55 to 125 °C"},
    {"TwoForwardLaws", "U1 = { card = \"four-pin-coupler-b\"",
     "U1 = { card = \"four-pin-coupler-b\", forward = \"1.2 V at 10 mA\", saturation_current = "
     "\"1 nA\"",
     Cause::contradiction, "saturation_current", "say the same thing twice"},
    {"SeriesResistanceTakesAll", "U1 = { card = \"four-pin-coupler-b\"",
     "U1 = { card = \"four-pin-coupler-b\", series_resistance = \"500 Ω\"", Cause::contradiction,
     "\"500 Ω\"", "drops the whole forward voltage"},
    {"ArrowInAPath", "supply > S1 > R1 > U1 > return", "supply > S1 -> R1 > U1 > return",
     Cause::path_grammar, "S1 -", "in place of ->"},
    {"ReservedName", "L1 = {", "supply = {", Cause::contradiction, "supply", "cannot be called"},
    {"BaseOfALightDependentResistor",
     "U1 = { card = \"four-pin-coupler-b\" }\nR2 = { kind = \"resistor\", value = \"10 kΩ ± 5 %\" "
     "}",
     "U1 = { kind = \"pair\", emitter = \"white-led\", receiver = \"ldr-5mm\", distance = \"30 "
     "mm\" "
     "}\nR2 = { kind = \"resistor\", value = \"10 kΩ ± 5 %\" }",
     Cause::unknown_name, "U1.base", "no part U1 with a base"},
    {"BaseOfFourPins", "signal > L1 > return", "signal > L1 > U1.base", Cause::unknown_name,
     "U1.base", "package = \"6\""},
    {"NotToml", "title = \"Plain\"", "title = \"Plain", Cause::not_toml, "", "not closed"},
};

std::string name_of(const testing::TestParamInfo<Mistake>& info) {
    return info.param.name;
}
INSTANTIATE_TEST_SUITE_P(EachMistake, BadLink, testing::ValuesIn(mistakes), name_of);

TEST(LinkFile, PlainLinkIsValid) {
    EXPECT_TRUE(link_from(plain_link()));
}

TEST(LinkFile, ANodeBetweenTwoCapacitorsFloats) {
    std::string text = with(plain_link(), "signal > L1 > return\"]",
                            "signal > L1 > return\", \"signal > C1 > x > C2 > return\"]");
    text = with(text, "[states]",
                "C1 = { kind = \"capacitor\", value = \"1 nF\" }\n"
                "C2 = { kind = \"capacitor\", value = \"1 nF\" }\n[states]");
    const auto link = link_from(with(text, "voltage = \"signal\"", "voltage = \"x\""));
    ASSERT_FALSE(link);
    ASSERT_EQ(link.error().size(), 1U) << to_text(link.error());
    EXPECT_EQ(link.error()[0].cause, Cause::floating_node);
    EXPECT_NE(link.error()[0].message.find("the node x floats"), std::string::npos);
}

// Contacts that close in different states never join the supply to its return at once.
TEST(LinkFile, AHalfBridgeOfContactsIsNoShort) {
    std::string text = with(plain_link(), "supply > S1 > R1 > U1 > return",
                            "supply > S1 > a\", \"a > S2 > return\", \"a > R1 > U1 > return");
    text = with(text, "[states]", "S2 = { kind = \"contact\" }\n[states]");
    text = with(text, "off = { S1 = \"open\" }", "off = { S1 = \"open\", S2 = \"closed\" }");
    EXPECT_TRUE(link_from(text));
    const auto both = link_from(with(text, "S1 = \"open\", S2", "S1 = \"closed\", S2"));
    ASSERT_FALSE(both);
    EXPECT_EQ(both.error()[0].cause, Cause::shorted_supply);
}

TEST(LinkFile, SeveralMistakesAreToldInOneGo) {
    std::string text = plain_link();
    text = with(text, "1 kΩ ± 5 %", "1 kV");
    text = with(text, "kind = \"contact\"", "kind = \"contct\"");
    text = with(text, "state = \"on\"", "state = \"onn\"");
    const auto link = link_from(text);
    ASSERT_FALSE(link);
    EXPECT_EQ(link.error().size(), 3U) << to_text(link.error());
}

TEST(LinkFile, TenThousandPartsInAPathAreRefusedQuickly) {
    std::string path = "supply";
    std::string parts;
    for (int k = 0; k < 10000; ++k) {
        path += " > X" + std::to_string(k);
        parts += "X" + std::to_string(k) + " = { kind = \"resistor\", value = \"1 Ω\" }\n";
    }
    std::string text = with(plain_link(), "supply > S1 > R1 > U1 > return", path + " > return");
    text = with(text, "[states]", parts + "[states]");
    const auto link = link_from(text);
    ASSERT_FALSE(link);
    EXPECT_EQ(link.error().front().cause, Cause::too_large) << to_text(link.error());
}

TEST(LinkFile, TenMegabytesAreRefused) {
    const auto link = link_from(plain_link() + "# " + std::string(10U << 20U, 'x'));
    ASSERT_FALSE(link);
    EXPECT_EQ(link.error().front().cause, Cause::oversized_file);
}

TEST(LinkFile, InvalidUtf8IsRefusedWithItsPlace) {
    const auto link = link_from(with(plain_link(), "Plain", "Pl\xFFin"));
    ASSERT_FALSE(link);
    EXPECT_EQ(link.error().front().cause, Cause::invalid_utf8);
    EXPECT_EQ(to_text(link.error()).rfind("test.link.toml:1:12:", 0), 0U) << to_text(link.error());
}

}  // namespace
}  // namespace gapwright
