// A card without a spread: the proof of "every specimen" has one specimen, and says so.
#include <gtest/gtest.h>

#include <algorithm>

#include "proof/cautions.hpp"
#include "support/card_folder.hpp"

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
