// A card without a spread: the proof of "every specimen" has one specimen, and says so.
#include <gtest/gtest.h>

#include <algorithm>

#include "proof/cautions.hpp"
#include "support/card_folder.hpp"

namespace gapwright {
namespace {

using testing_support::CardFolder;

// The texts of that caution, for a link with a coupler of this card.
std::vector<std::string> cautions(const std::string& ctr) {
    const CardFolder folder;
    folder.write("measured.card.toml",
                 "kind = \"coupler\"\nforward = \"1.2 V (1.1 .. 1.3 V) at 10 mA\"\nctr = \"" + ctr +
                     " at 5 mA, 5 V\"\n");
    const auto text = std::make_shared<const SourceText>("test.link.toml", R"(
[input]
supply = "9 V"
paths = ["supply > R1 > U1 > return"]
[output]
supply = "5 V"
paths = ["supply > R2 > signal", "signal > U1 > return"]
[parts]
R1 = { kind = "resistor", value = "1 kΩ" }
R2 = { kind = "resistor", value = "4.7 kΩ" }
U1 = { card = "measured" }
)");
    const auto link = read_link(text, folder.path().string());
    EXPECT_TRUE(link) << (link ? "" : to_text(link.error()));
    if (!link) return {};
    const auto circuit = build_circuit(*link);
    const auto nominal =
        solve_link(circuit->circuit, circuit->nominal_values(), Conditions{.temperature = 298.15});
    EXPECT_TRUE(nominal);
    std::vector<std::string> found;
    for (const auto& caution : cautions_of(*link, *circuit, *nominal)) {
        if (caution.id == "no-spread") found.push_back(caution.text);
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

}  // namespace
}  // namespace gapwright
