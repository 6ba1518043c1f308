// A card without a spread: the proof of "every specimen" has one specimen, and says so.
#include <gtest/gtest.h>

#include <algorithm>

#include "proof/cautions/cautions.hpp"
#include "support/card_folder.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::CardFolder;

// The texts of a caution, for a link with a coupler of this card and such a first resistor.
std::vector<std::string> cautions(const std::string& ctr, const std::string& id = "no-spread",
                                  const std::string& r1 = "1 kΩ") {
    const CardFolder folder;
    folder.write("measured.card.toml",
                 "kind = \"coupler\"\nforward = \"1.2 V (1.1 .. 1.3 V) at 10 mA\"\nctr = \"" + ctr +
                     " at 5 mA, 5 V\"\n");
    const auto text = std::make_shared<const SourceText>("test.link.toml", std::string(R"(
[input]
supply = "9 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
R2 = { kind = "resistor", value = "4.7 kΩ ± 5 %" }
U1 = { card = "measured" }
R1 = { kind = "resistor", value = ")") + r1 + "\" }\n");
    const auto link = read_link(text, folder.path().string());
    EXPECT_TRUE(link) << (link ? "" : to_text(link.error()));
    if (!link) return {};
    const auto circuit = build_circuit(*link);
    const auto nominal =
        solve_link(circuit->circuit, circuit->nominal_values(), Conditions{.temperature = 298.15});
    EXPECT_TRUE(nominal);
    std::vector<std::string> found;
    for (const auto& caution : cautions_of(*link, *circuit, *nominal)) {
        if (caution.id == id) found.push_back(caution.text);
    }
    return found;
}

TEST(NoSpread, IsSaidOfACardThatStatesNone) {
    const auto found = cautions("120 %");
    ASSERT_EQ(found.size(), 1U);
    EXPECT_NE(found.front().find("U1 ctr"), std::string::npos) << found.front();
}

TEST(NoSpread, IsNotSaidOfACardThatStatesOne) {
    EXPECT_TRUE(cautions("120 % (80 .. 160 %)").empty());
}

TEST(NoTolerance, IsSaidOfAResistorThatStatesNone) {
    const auto found = cautions("120 %", "no-tolerance");
    ASSERT_EQ(found.size(), 1U);
    EXPECT_NE(found.front().find("of R1:"), std::string::npos) << found.front();
    EXPECT_TRUE(cautions("120 %", "no-tolerance", "1 kΩ ± 1 %").empty());
}

// The cautions of a link that is only read: by id, in their order.
std::vector<std::string> stated(const std::string& text, const std::string& id) {
    const auto link = testing_support::link_from(text);
    EXPECT_TRUE(link) << (link ? "" : to_text(link.error()));
    std::vector<std::string> found;
    if (!link) return found;
    for (const auto& caution : stated_cautions(*link)) {
        if (caution.id == id) found.push_back(caution.text);
    }
    return found;
}

std::string supplied_by(const std::string& supply) {
    return testing_support::with(testing_support::plain_link(), "\"9 V\"", supply);
}

TEST(NoSpread, IsSaidOfGainsAndThresholds) {
    const auto driven_by = [](const std::string& stage) {
        return R"([input]
supply = "5 V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "12 V ± 10 %"
paths = ["supply > R2 > U1 > T.)" +
               std::string(stage.starts_with("{ kind = \"mosfet") ? "gate" : "base") +
               R"(", "supply > K1 > coil > T > return", "coil > D1 > supply"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "330 Ω ± 5 %" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "4.7 kΩ ± 5 %" }
K1 = { kind = "coil", resistance = "320 Ω ± 10 %" }
D1 = { card = "signal-diode" }
T = )" + stage +
               "\n";
    };
    struct Row {
        const char* stage;
        const char* told;  // "" for nothing
    };
    // What nobody stated is assumed and not counted as stated without a spread.
    for (const auto& [stage, told] : std::vector<Row>{
             {R"({ kind = "npn transistor", gain = 200 })", "T gain"},
             {R"x({ kind = "npn transistor", gain = "200 (100 .. 400)" })x", ""},
             {R"({ kind = "npn transistor" })", ""},
             {R"({ kind = "mosfet", channel = "n", threshold = "2 V" })", "T threshold"},
             {R"x({ kind = "mosfet", channel = "n", threshold = "2 V (1 .. 3 V)" })x", ""},
             {R"({ kind = "mosfet", channel = "n" })", ""},
         }) {
        const auto found = stated(driven_by(stage), "no-spread");
        if (*told == '\0') {
            EXPECT_TRUE(found.empty()) << stage << found.front();
            continue;
        }
        ASSERT_EQ(found.size(), 1U) << stage;
        EXPECT_NE(found.front().find(told), std::string::npos) << found.front();
    }
}

// The figures are common practice (see src/proof/cautions/cautions_supply.cpp), written out by
// hand.
TEST(NoSupplySpread, SaysWhatSuchASupplyDoesAndWhatToWrite) {
    struct Row {
        const char* supply;
        const char* does;
        const char* write;
    };
    for (
        const auto& [supply, does, write] : std::vector<Row>{
            {R"("9 V")", "A battery of 9 V has 9.6 V when fresh and 7 V when tired",
             R"x(write supply = "9 V (7 .. 9.6 V)".)x"},
            {R"("1.5 V")", "1.6 V when fresh and 1.1 V", R"x("1.5 V (1.1 .. 1.6 V)")x"},
            {R"("4.5 V")", "4.8 V when fresh and 3.3 V", R"x("4.5 V (3.3 .. 4.8 V)")x"},
            {R"("4.8 V")", "A nickel battery of 4.8 V has 5.8 V just charged and 4 V when empty",
             R"x("4.8 V (4 .. 5.8 V)")x"},
            {R"("3.7 V")", "A lithium battery", R"x("3.7 V (3 .. 4.2 V)")x"},
            {R"("11.1 V")", "A lithium battery", R"x("11.1 V (9 .. 12.6 V)")x"},
            // Nickel goes further than lithium, lead further than an adapter.
            {R"("7.2 V")", "A nickel battery", R"x("7.2 V (6 .. 8.7 V)")x"},
            {R"("12 V")", "A lead battery of 12 V has 14.4 V on its charger and 10.5 V when empty",
             R"x("12 V (10.5 .. 14.4 V)")x"},
            {R"("24 V")", "A lead battery", R"x("24 V (21 .. 28.8 V)")x"},
            {R"("3.3 V")", "A regulated supply of 3.3 V is held to ± 5 %", R"("3.3 V ± 5 %")"},
            {R"("5 V")", "A regulated supply of 5 V", R"("5 V ± 5 %")"},
            {R"("15 V")", "A mains adapter holds its voltage to ± 10 %", R"("15 V ± 10 %")"},
            {R"({ voltage = "9 V", resistance = "2 Ω" })", "A battery of 9 V",
             R"x(write voltage = "9 V (7 .. 9.6 V)".)x"},
            {R"({ card = "battery-9v", voltage = "9 V" })", "A battery of 9 V",
             R"x(write voltage = "9 V (7 .. 9.6 V)" on the card battery-9v, or beside its name.)x"},
        }) {
        const auto found = stated(supplied_by(supply), "no-supply-spread");
        ASSERT_EQ(found.size(), 1U) << supply;
        EXPECT_TRUE(
            found.front().starts_with("No spread is stated of the input's "
                                      "supply: "));
        EXPECT_NE(found.front().find("counts as exact"), std::string::npos);
        EXPECT_NE(found.front().find(does), std::string::npos) << found.front();
        EXPECT_NE(found.front().find(write), std::string::npos) << found.front();
        // What it says to write is understood, and then
        // there is nothing left to say.
        const auto begin = found.front().find('"') + 1;
        const std::string text =
            found.front().substr(begin, found.front().find('"', begin) - begin);
        EXPECT_TRUE(stated(supplied_by('"' + text + '"'), "no-supply-spread").empty()) << text;
    }
}

TEST(NoSupplySpread, IsNotSaidOfSuppliesThatStateOneAndSaidOfEachSideThatDoesNot) {
    for (const char* supply : {R"x("9 V (7 .. 9.6 V)")x", R"("5 V ± 5 %")", R"("4.75 .. 5.25 V")",
                               R"({ card = "battery-9v" })"}) {
        EXPECT_TRUE(stated(supplied_by(supply), "no-supply-spread").empty()) << supply;
    }
    const auto both = stated(testing_support::with(supplied_by("\"9 V\""), "5 V ± 5 %", "5 V"),
                             "no-supply-spread");
    ASSERT_EQ(both.size(), 2U);
    EXPECT_NE(both[1].find("the output's supply: 5 V"), std::string::npos) << both[1];
}

// U1 is dark; what stands across it is what two resistors make of the supply.
TEST(PartWay, IsNotSaidWhereNothingFlows) {
    const auto part_way = [](const std::string& more) {
        const auto link = read_link(std::make_shared<const SourceText>("test.link.toml", R"(
[input]
supply = "9 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "12 V"
paths = ["supply > R2 > signal", "signal > U1 > return", "signal > R3 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = ")" + more + R"(" }
R2 = { kind = "resistor", value = "10 kΩ" }
R3 = { kind = "resistor", value = "15 kΩ" }
U1 = { card = "four-pin-coupler-b" }
[states]
off = { S1 = "open" }
on = { S1 = "closed" }
)"),
                                    ".");
        EXPECT_TRUE(link) << (link ? "" : to_text(link.error()));
        const auto circuit = build_circuit(*link);
        const auto nominal = solve_link(circuit->circuit, circuit->nominal_values(),
                                        Conditions{.temperature = 298.15});
        EXPECT_TRUE(nominal);
        std::vector<std::string> found;
        for (const auto& caution : cautions_of(*link, *circuit, *nominal)) {
            if (caution.id == "part-way") found.push_back(caution.text);
        }
        return found;
    };
    EXPECT_TRUE(part_way("1 kΩ").empty());
    EXPECT_EQ(part_way("30 kΩ").size(), 1U);  // lit a little: that is part-way
}

}  // namespace
}  // namespace gapwright
