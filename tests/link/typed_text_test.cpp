// What people write in link files though files do not take it: each is told with what to write.
#include <gtest/gtest.h>

#include <ostream>

#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

struct Written {
    std::string from;  // what in the plain link is replaced
    std::string to;
    std::string under;   // what the caret stands under
    std::string remedy;  // of the one problem that there is
};

void PrintTo(const Written& written, std::ostream* out) {
    *out << written.to;
}

class TypedInALink : public testing::TestWithParam<Written> {};

TEST_P(TypedInALink, IsToldWithWhatToWrite) {
    const Written& w = GetParam();
    const std::string text = with(plain_link(), w.from, w.to);
    ASSERT_NE(text, plain_link()) << "nothing was changed";
    const auto link = link_from(text);
    ASSERT_FALSE(link) << "nothing was told";
    ASSERT_EQ(link.error().size(), 1U) << to_text(link.error());
    const Diagnostic& told = link.error().front();
    EXPECT_EQ(told.remedy, w.remedy) << to_text(told);
    ASSERT_TRUE(told.place.text);
    EXPECT_EQ(told.place.text->text().substr(told.place.begin, told.place.end - told.place.begin),
              w.under)
        << to_text(told);
}

std::string surroundings(const std::string& line) {
    return "[surroundings]\n" + line + "\n[input]";
}
std::string signal(const std::string& line) {
    return "[signal]\n" + line + "\n[[promise]]";
}

const Written quantities[] = {
    {"\"1 kΩ ± 5 %\"", "470", "470", R"(write "470 Ω")"},
    {"\"1 kΩ ± 5 %\"", "4.7e3", "4.7e3", R"(write "4700 Ω")"},
    {"1 kΩ ± 5 %", "470", "470", R"(write "470 Ω")"},
    {"1 kΩ ± 5 %", "470 5%", "470", R"(write "470 Ω ± 5 %")"},
    {"1 kΩ ± 5 %", "470 ± 5", "5", R"(write "470 Ω ± 5 %" or "470 Ω ± 5 Ω")"},
    {"1 kΩ ± 5 %", "100 R", "100 R", R"(write "100 Ω")"},
    {"1 kΩ ± 5 %", "10 Kohm", "10 Kohm", R"(write "10 kΩ")"},
    {"1 kΩ ± 5 %", "1,5 kΩ", "1,5", R"(write "1.5 kΩ")"},
    {"1 kΩ ± 5 %", "1,500", "1,500", R"(write "1.500 Ω" or "1500 Ω")"},
    {"1 kΩ ± 5 %", "7 - 9.6 V", "9.6 V", R"(write for example "330 Ω", "4.7 kΩ" or "4k7")"},
    {"0.25 W", "1/4 W", "1/4", R"(write "0.25 W")"},
    {"\"0.25 W\"", "0.25", "0.25", R"(write "0.25 W")"},
    {"\"0.25 W\"", "250", "250", R"(write "250 W" or "250 mW")"},
    {"\"9 V\"", "9", "9", R"(write "9 V")"},
    {"9 V", "9v", "9v", R"(write "9 V")"},
    {"9 V", "7 - 9.6 V", "-", R"(write "7 .. 9.6 V")"},
    {"9 V", "9.6 .. 7 V", "9.6 .. 7 V", R"(write "7 .. 9.6 V")"},
    {"9 V", "12 V/DC", "12 V/DC", R"(write "12 V")"},
    {"5 V ± 5 %", "5 volts +-5%", "5 volts", R"(write "5 V ± 5 %")"},
    {"\"0.8 V\"", "0.8", "0.8", R"(write "0.8 V")"},
    {"[input]", surroundings("light = \"300 lux\""), "300 lux", R"(write "300 lx")"},
    {"[input]", surroundings("light = \"0 - 300 lux\""), "-", R"(write "0 .. 300 lx")"},
    {"[input]", surroundings("temperature = 25"), "25", R"(write "25 °C")"},
    {"[input]", surroundings("temperature = \"25 deg C\""), "25 deg C", R"(write "25 °C")"},
    {"[input]", surroundings("temperature = \"-10 to 45°\""), "to", R"(write "-10 .. 45 °C")"},
    {"[input]", surroundings("temperature = \"77 °F\""), "77 °F", R"(write "25 °C")"},
    {"[input]", surroundings("duty = \"5 percent\""), "5 percent", R"(write "5 %")"},
    {"[input]", surroundings("service = \"10 yrs\""), "10 yrs", R"(write "10 years")"},
    {"[input]", surroundings("service = \"6 months\""), "6 months", R"(write "0.5 years")"},
    {"[[promise]]", signal("rate = \"9600 baud\""), "9600 baud", R"(write "9600 Bd")"},
    {"[[promise]]", signal("rate = 9600"), "9600", R"(write "9600 Bd")"},
    {"[[promise]]", signal("rate = \"10 kHz\""), "10 kHz",
     R"(write "20 kBd": two symbols per period, or write frequency = "10 kHz")"},
    {"[[promise]]", signal("frequency = \"50 hz\""), "50 hz", R"(write "50 Hz")"},
};

const Written parts[] = {
    {"\"contact\"", "\"switch\"", "\"switch\"", R"(write kind = "contact")"},
    {"\"contact\"", "\"button\"", "\"button\"", R"(write kind = "contact")"},
    {"\"resistor\"", "\"Resistor\"", "\"Resistor\"", R"(write kind = "resistor")"},
    {"{ card = \"four-pin-coupler-b\" }", "{ kind = \"opto-isolator\" }", "\"opto-isolator\"",
     R"(write kind = "coupler")"},
    {"{ card = \"logic-input-5v\" }", "{ kind = \"battery\", voltage = \"9 V\" }", "\"battery\"",
     R"(write supply = "9 V" below [input] or [output]: a battery is its side's supply)"},
    {"{ card = \"logic-input-5v\" }", "{ card = \"battery-9v\" }", "L1",
     R"(write supply = "9 V" below [input] or [output]: a battery is its side's supply)"},
};

const Written names[] = {
    {"supply > S1 >", "supply > switch > S1 >", "switch",
     R"(declare it under [parts]: switch = { kind = "contact" })"},
    {"> U1 > return\"]", "> LED1 > U1 > return\"]", "LED1",
     R"(declare it under [parts]: LED1 = { card = "red-led" })"},
    {"signal > L1", "signal > Q2 > L1", "Q2",
     R"(declare it under [parts]: Q2 = { card = "npn-small" })"},
    {"S1 > R1 > U1", "S1 > led > R1 > U1", "led",
     R"(declare it under [parts]: led = { card = "red-led" })"
     ", or leave it out: a wire between two parts needs no name"},
    {"S1 > R1 > U1", "S1 > Q3.base > R1 > U1", "Q3.base",
     R"(declare it under [parts]: Q3 = { card = "npn-small" })"},
    {"S1 > R1 > U1", "S1 > anode > R1 > U1", "anode",
     "declare it under [parts], or leave it out: a wire between two parts needs no name"},
    {"supply > S1", "battery > S1", "battery",
     R"(write supply in its place, and supply = "9 V" below [input] or [output])"},
    {"supply > R2", "VCC > R2", "VCC", "write supply: so the plus of each side is called"},
    {"supply > R2", "+5V > R2", "+5V", "write supply: so the plus of each side is called"},
    {"R1 > U1 > return", "R1 > U1 > GND", "GND",
     "write return: so the minus of each side is called"},
    {"signal > U1 > return", "signal > U1 > 0V", "0V",
     "write return: so the minus of each side is called"},
};

INSTANTIATE_TEST_SUITE_P(Quantities, TypedInALink, testing::ValuesIn(quantities));
INSTANTIATE_TEST_SUITE_P(Kinds, TypedInALink, testing::ValuesIn(parts));
INSTANTIATE_TEST_SUITE_P(Names, TypedInALink, testing::ValuesIn(names));

// In a path that other paths join, and with [parts] that declares it or not.
std::string joined_at(const std::string& node) {
    return with(
        with(plain_link(), "supply > S1 > R1 > U1 > return\"]",
             "supply > S1 > " + node + " > R1 > U1 > return\", \"" + node + " > R8 > return\"]"),
        "[states]", "R8 = { kind = \"resistor\", value = \"1 kΩ ± 5 %\" }\n[states]");
}

TEST(TypedNames, AreNodesWhereTheFileSpeaksOfThemElsewhere) {
    const std::string promise =
        "state = \"on\"\nvoltage = [\"tap\", \"return\"]\nside = \"input\"\n";
    const std::string tapped = with(plain_link(), "S1 > R1", "S1 > tap > R1");
    EXPECT_TRUE(link_from(tapped + "[[promise]]\n" + promise + "at_most = \"10 V\"\n"));
    EXPECT_FALSE(link_from(tapped));
    // Words for people, kinds and cards speak of no node.
    EXPECT_FALSE(link_from(with(tapped, "title = \"Plain\"", "title = \"tap\"")));
    EXPECT_FALSE(link_from(with(plain_link(), "S1 > R1", "S1 > contact > R1")));
    for (const char* node : {"tap", "d0", "t1", "r8"}) {
        const auto link = link_from(joined_at(node));
        EXPECT_TRUE(link) << node << to_text(link.error());
    }
}

// On drawings parts are called so, however often such a name stands in the paths.
TEST(TypedNames, OfPartsOnDrawingsAreNeverNodes) {
    for (const char* part : {"R7", "LED2", "Q1", "Q1.base"}) {
        const auto link = link_from(joined_at(part));
        ASSERT_FALSE(link) << part;
        for (const Diagnostic& told : link.error()) {
            EXPECT_EQ(told.cause, Cause::unknown_name) << to_text(told);
            EXPECT_NE(told.remedy.find("declare it under [parts]: "), std::string::npos);
        }
        EXPECT_EQ(link.error().size(), 2U) << to_text(link.error());
    }
}

// What [parts] holds and cannot be read is told there, and not once more in the paths.
TEST(TypedNames, OfPartsThatCannotBeReadAreDeclared) {
    const auto link = link_from(
        with(plain_link(), R"(R1 = { kind = "resistor", value = "1 kΩ ± 5 %", power = "0.25 W" })",
             "R1 = \"1 kΩ\""));
    ASSERT_FALSE(link);
    ASSERT_EQ(link.error().size(), 1U) << to_text(link.error());
    EXPECT_EQ(link.error().front().cause, Cause::wrong_type);
}

// On both sides the same name isolates nothing; where it is called so elsewhere, that is the
// remedy.
TEST(TypedNames, OfReturnOnBothSidesAreTold) {
    const auto link = link_from(with(with(plain_link(), "R1 > U1 > return", "R1 > U1 > GND"),
                                     "signal > U1 > return", "signal > U1 > GND"));
    ASSERT_FALSE(link);
    for (const Diagnostic& told : link.error()) {
        EXPECT_EQ(told.remedy, "write return: so the minus of each side is called")
            << to_text(told);
    }
}

}  // namespace
}  // namespace gapwright
