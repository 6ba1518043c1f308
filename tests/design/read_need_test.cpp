// Needs as they are read, and every mistake that one can hold.
#include <gtest/gtest.h>

#include <algorithm>

#include "card/key.hpp"
#include "design/need_support.hpp"
#include "link/need_roles.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::example_needs;
using testing_support::need_from;
using testing_support::plain_need;
using testing_support::with;

TEST(ReadNeed, ReadsWhatTheFileSays) {
    const auto need = read_need_file(testing_support::needs_folder + "/night-silence.link.toml");
    ASSERT_TRUE(need) << to_text(need.error());
    EXPECT_EQ(need->title, "Night silence");
    EXPECT_EQ(need->drive.input_type, 3);
    EXPECT_EQ(need->drive.description.kind, Kind::contact);
    EXPECT_EQ(need->load.kind, NeedLoad::Kind::logic_input);
    EXPECT_DOUBLE_EQ(need->load.description.nominal(Key::high_above), 2.4);
    EXPECT_FALSE(need->driven);
    EXPECT_EQ(need->gaps.size(), 3U);
    EXPECT_EQ(need->stock.drawer->text, "drawer.csv");
    EXPECT_DOUBLE_EQ(need->input.supply.find(Key::voltage)->spread.lowest, 19.2);
    ASSERT_TRUE(need->duty);
    EXPECT_DOUBLE_EQ(need->duty->share, 0.6);
}

TEST(ReadNeed, TakesOnePercentForOffWhereNothingIsSaid) {
    const auto need =
        need_from(with(plain_need(), testing_support::plain_coil,
                       R"({ kind = "indicator", card = "red-led", current = "3 mA" })"));
    ASSERT_TRUE(need) << to_text(need.error());
    EXPECT_EQ(need->load.kind, NeedLoad::Kind::indicator);
    EXPECT_DOUBLE_EQ(*need->load.off_current, 30e-6);
    EXPECT_TRUE(need->load.off_current_assumed);
}

TEST(ReadNeed, AChimeBusHasARate) {
    const auto need = need_from(testing_support::example_text("chime-bus"));
    ASSERT_TRUE(need) << to_text(need.error());
    EXPECT_DOUBLE_EQ(need->rate, 31250);
    EXPECT_TRUE(need->driven);
}

TEST(ReadNeed, AReadLinkRefusesANeedAndNamesTheCommandForIt) {
    for (const auto& name : example_needs()) {
        const auto link = testing_support::link_of(testing_support::example_text(name));
        ASSERT_FALSE(link);
        ASSERT_EQ(link.error().size(), 1U) << to_text(link.error());
        EXPECT_EQ(link.error()[0].message, "this file states a need and no circuit yet");
        EXPECT_NE(link.error()[0].remedy.find("gapwright design"), std::string::npos);
    }
}

struct Mistake {
    std::string name;
    std::string from;  // what in the plain need is replaced
    std::string to;
    Cause cause;
    std::string under;  // the characters that the caret stands under
    std::string told;   // part of the message or remedy
};
void PrintTo(const Mistake& mistake, std::ostream* out) {
    *out << mistake.name;
}

class BadNeed : public testing::TestWithParam<Mistake> {};

TEST_P(BadNeed, IsToldWithPlaceAndRemedy) {
    const Mistake& m = GetParam();
    const std::string text = with(plain_need(), m.from, m.to);
    ASSERT_NE(text, plain_need()) << "the mistake was not made";
    const auto need = need_from(text);
    ASSERT_FALSE(need);
    const auto found = std::ranges::find(need.error(), m.cause, &Diagnostic::cause);
    ASSERT_NE(found, need.error().end()) << to_text(need.error());
    const std::string shown = to_text(*found);
    EXPECT_NE(shown.find(m.told), std::string::npos) << shown;
    const auto& place = found->place;
    ASSERT_TRUE(place.text);
    EXPECT_EQ(std::string(place.text->text().substr(place.begin, place.end - place.begin)), m.under)
        << shown;
    EXPECT_EQ(need.error().size(), 1U) << to_text(need.error());
}

const std::string drive =
    R"(drive = { kind = "logic output", high = "4.75 .. 5 V", source_limit = "8 mA" })";
const std::string load = "load = " + testing_support::plain_coil;

// What remedies tell people to write is a need.
TEST(ReadNeed, ReadsTheExamplesOfItsRoles) {
    for (const auto& role : drive_roles()) {
        const auto need =
            need_from(with(plain_need(), drive, "drive = " + std::string(role.example)));
        ASSERT_TRUE(need) << to_text(need.error());
        EXPECT_EQ(need->drive.description.kind, role.kind);
    }
    for (const auto& role : load_roles()) {
        const auto need =
            need_from(with(plain_need(), load, "load = " + std::string(role.example)));
        ASSERT_TRUE(need) << to_text(need.error());
        EXPECT_EQ(need->load.description.kind, role.kind);
    }
}

const Mistake mistakes[] = {
    {"UnknownKey", "[choose]", "wen = \"idle\"\n[choose]", Cause::unknown_key, "wen",
     "did you mean \"when\""},
    {"UnknownWhen", "[choose]", "when = \"idel\"\n[choose]", Cause::unknown_name, "\"idel\"",
     "did you mean \"idle\""},
    {"UnknownChoice", "gaps =", "gap =", Cause::unknown_key, "gap", "did you mean \"gaps\""},
    {"NoDrive", drive, "", Cause::missing_key, "need", "drive"},
    {"NoLoad", load, "", Cause::missing_key, "need", "load"},
    {"DriveNoTable", drive, "drive = \"contact\"", Cause::wrong_type, "\"contact\"", "a table"},
    {"DriveCannotDrive", "\"logic output\"", "\"led\"", Cause::unknown_name, "\"led\"",
     "logic output, contact"},
    {"DriveCardCannotDrive", drive, "drive = { card = \"red-led\" }", Cause::contradiction, "drive",
     "cannot be a led"},
    {"DriveIsASwitch", drive, "drive = { kind = \"switch\" }", Cause::unknown_name, "\"switch\"",
     "write kind = \"contact\""},
    {"DriveIsARelay", drive, "drive = { kind = \"relay\" }", Cause::unknown_name, "\"relay\"",
     "write kind = \"contact\""},
    {"DriveIsAButtonInAWord", drive, "drive = \"button\"", Cause::wrong_type, "\"button\"",
     "write drive = { kind = \"contact\" }"},
    {"DriveIsAGap", drive, "drive = { kind = \"optocoupler\" }", Cause::unknown_name,
     "\"optocoupler\"", "gaps = [\"four-pin-coupler-b\"]"},
    {"LoadIsARelay", "kind = \"coil\"", "kind = \"relay\"", Cause::unknown_name, "\"relay\"",
     "write kind = \"coil\""},
    {"LoadIsALed", "kind = \"coil\"", "kind = \"led\"", Cause::unknown_name, "\"led\"",
     "write kind = \"indicator\""},
    {"LoadIsALamp", "kind = \"coil\"", "kind = \"lamp\"", Cause::unknown_name, "\"lamp\"",
     "write kind = \"load\""},
    {"RateIsAFrequency", "[choose]", "rate = \"10 kHz\"\n[choose]", Cause::wrong_unit, "10 kHz",
     "write \"20 kBd\": two symbols per period"},
    {"RateIsANumber", "[choose]", "rate = 9600\n[choose]", Cause::missing_unit, "9600",
     "write \"9600 Bd\""},
    {"PullInIsANumber", "\"8.4 V\"", "8.4", Cause::missing_unit, "8.4", "write \"8.4 V\""},
    {"LoadOfNoKind", "kind = \"coil\"", "kind = \"coli\"", Cause::unknown_name, "\"coli\"",
     "did you mean \"coil\""},
    {"UnknownKeyOfDrive", "source_limit", "source_limt", Cause::unknown_key, "source_limt",
     "did you mean \"source_limit\""},
    {"MisspeltOwnKey", load,
     "load = { card = \"red-led\", current = \"3 mA\", of_current = \"1 mA\" }", Cause::unknown_key,
     "of_current", "did you mean \"off_current\""},
    {"DropsOutAbovePullIn", "drop_out = \"1.2 V\"", "drop_out = \"9 V\"", Cause::contradiction,
     "\"9 V\"", "drop_out is not below pull_in"},
    {"LowAboveHigh", load,
     "load = { kind = \"logic input\", low_below = \"3 V\", high_above = \"2 V\" }",
     Cause::contradiction, "\"3 V\"", "low_below is not below high_above"},
    {"OffAboveOn", load,
     "load = { card = \"red-led\", current = \"3 mA\", off_current = \"4 mA\" }",
     Cause::contradiction, "\"4 mA\"", "off_current is not below current"},
    {"NoCurrent", load, "load = { card = \"red-led\" }", Cause::missing_key, "load", "current"},
    {"CurrentOfACoil", "kind = \"coil\",", "kind = \"coil\", current = \"1 mA\",",
     Cause::unknown_key, "current", "pull_in and drop_out"},
    {"NoPullIn", "pull_in = \"8.4 V\", ", "", Cause::missing_key, "load", "needs pull_in"},
    {"InputTypeOfAPin", "kind = \"logic output\",", "kind = \"logic output\", input_type = 3,",
     Cause::contradiction, "input_type", "contact"},
    {"NoSuchInputType", drive, "drive = { kind = \"contact\", input_type = 4 }",
     Cause::out_of_range, "4", "1, 2"},
    {"InputTypeAsText", drive, "drive = { kind = \"contact\", input_type = \"three\" }",
     Cause::wrong_type, "\"three\"", "1, 2 or 3"},
    {"RateInHertz", "[choose]", "rate = \"31 kHz\"\n[choose]", Cause::wrong_unit, "31 kHz", "Bd"},
    {"GapOfNoLight", "\"four-pin-coupler-c\"", "\"npn-small\"", Cause::contradiction,
     "\"npn-small\"", "no transistor"},
    {"UnknownGap", "\"four-pin-coupler-c\"", "\"four-pin-copler-c\"", Cause::unknown_name,
     "\"four-pin-copler-c\"", "did you mean \"four-pin-coupler-c\""},
    {"GapsNoList", "[\"four-pin-coupler-c\"]", "\"four-pin-coupler-c\"", Cause::wrong_type,
     "\"four-pin-coupler-c\"", "list"},
    {"EmittersAlone", "\"four-pin-coupler-c\"", "\"infrared-led\"", Cause::missing_key,
     "[\"infrared-led\"]", "emitters alone"},
    {"NoOutput", "[output]\nsupply = \"12 V ± 10 %\"\n", "", Cause::missing_key,
     "title = \"Plain\"", "[output] states no supply"},
    {"NoSupplyForAContact",
     "[input]\nsupply = \"5 V ± 5 %\"\n[output]\nsupply = \"12 V ± 10 %\"\n" +
         std::string("[need]\n") + drive,
     "[input]\n[output]\nsupply = \"12 V ± 10 %\"\n[need]\ndrive = { kind = \"contact\" }",
     Cause::missing_key, "input", "[input] states no supply"},
    {"PathsAlready", "[output]", "paths = []\n[output]", Cause::contradiction, "paths",
     "already has paths of its input side"},
    {"PartsAlready", "[choose]", "[parts]\n[choose]", Cause::contradiction, "parts",
     "already has [parts]"},
};
INSTANTIATE_TEST_SUITE_P(Mistakes, BadNeed, testing::ValuesIn(mistakes),
                         [](const auto& named) { return named.param.name; });

TEST(ReadNeed, TellsAllMistakesInOneGo) {
    std::string text = with(plain_need(), "high =", "hihg =");
    text = with(text, "drop_out = \"1.2 V\"", "drop_out = \"9 V\"");
    text = with(text, "four-pin-coupler-c", "no-such-card");
    const auto need = need_from(text);
    ASSERT_FALSE(need);
    EXPECT_GE(need.error().size(), 3U) << to_text(need.error());
}

}  // namespace
}  // namespace gapwright
