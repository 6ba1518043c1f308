// Cautions say which part they are about, whatever parts and nodes are called.
#include "proof/cautions/cautions.hpp"

#include <gtest/gtest.h>

#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

// Caution → the part that it is about, "" for the link as a whole; the caution's words hold it.
std::multimap<std::string, std::string> parts_of_cautions(const std::string& text) {
    const auto link = link_from(text);
    EXPECT_TRUE(link) << (link ? "" : to_text(link.error()));
    if (!link) return {};
    const auto circuit = build_circuit(*link);
    const auto nominal =
        solve_link(circuit->circuit, circuit->nominal_values(), Conditions{.temperature = 298.15});
    EXPECT_TRUE(nominal);
    std::multimap<std::string, std::string> result;
    for (const auto& caution : cautions_of(*link, *circuit, *nominal)) {
        const std::string name = caution.part ? link->parts.at(*caution.part).name : "";
        EXPECT_NE(caution.text.find(name), std::string::npos) << caution.text;
        result.emplace(caution.id, name);
    }
    return result;
}

std::string part_of(const std::multimap<std::string, std::string>& found, const std::string& id) {
    EXPECT_EQ(found.count(id), 1U) << id;
    const auto one = found.find(id);
    return one == found.end() ? "missing" : one->second;
}

TEST(Cautions, APartThatIsCalledLikeAWordIsNotMeantByIt) {
    std::string text = plain_link();
    for (int k = 0; k < 2; ++k) text = with(text, "R1", "No");
    const auto found = parts_of_cautions(text);
    EXPECT_EQ(part_of(found, "working-voltage-unstated"), "");
    EXPECT_EQ(part_of(found, "solderless-board"), "");
}

TEST(Cautions, OfSeveralPartsTheFirstIsTold) {
    const auto found =
        parts_of_cautions(with(with(plain_link(), "1 kΩ ± 5 %", "1 kΩ"), "10 kΩ ± 5 %", "10 kΩ"));
    EXPECT_EQ(part_of(found, "no-tolerance"), "R1");
}

struct Mistake {
    std::vector<std::pair<std::string, std::string>> edits;
    std::string caution;
    std::string part;
};

TEST(Cautions, EachSaysWhichPartItIsAbout) {
    const std::string coupler = R"({ card = "four-pin-coupler-b" })";
    const std::string pair =
        R"({ kind = "pair", emitter = "infrared-led", receiver = "infrared-receiver", distance = "5 mm" })";
    const std::string unfiltered_pair =
        with(pair, "\"infrared-receiver\"",
             R"({ kind = "phototransistor", sensitivity = "5 µA at 10 W/m²" })");
    const std::string pair_of_unknown_life = with(
        pair, "\"infrared-led\"",
        R"({ kind = "led", forward = "1.2 V at 20 mA", radiant_intensity = "1 W/sr at 1 A" })");
    const std::string head = "title = \"Plain\"\n";
    const std::vector<Mistake> mistakes = {
        {{{"on = { S1 = \"closed\" }", "on = { S1 = \"open\" }"}}, "never-lit", "U1"},
        {{{"off = { S1 = \"open\" }", "R2 = {}"}}, "setting-assumed", "S1"},  // a state called R2
        {{{"1 kΩ", "10 kΩ"}}, "part-way", "U1"},
        {{{"1 kΩ", "47 kΩ"}}, "test-current", "U1"},
        {{{"\"supply > R2 > signal\", ", ""},
          {"R2 = { kind = \"resistor\", value = \"10 kΩ ± 5 %\" }", ""}},
         "no-pull-up",
         "L1"},
        {{{coupler, pair}}, "home-made-gap", "U1"},
        {{{coupler, pair}}, "near-field", "U1"},
        {{{head, "[surroundings]\nservice = \"10 years\"\n"}, {coupler, pair_of_unknown_life}},
         "life-unknown",
         "U1"},
        {{{head, "[surroundings]\nservice = \"10 years\"\n"}}, "life-exponents", "U1"},
        {{{head, "[surroundings]\nlight = \"0 .. 300 lx\"\n"}, {coupler, unfiltered_pair}},
         "daylight-share",
         "U1"},
        {{{head, "[surroundings]\nworking_voltage = \"9 kV\"\n"}}, "insulation-exceeded", "U1"},
        {{{head, "[surroundings]\nworking_voltage = \"9 kV\"\n"}, {coupler, pair}},
         "no-insulation-rating",
         "U1"},
    };
    for (const auto& [edits, caution, part] : mistakes) {
        std::string text = plain_link();
        for (const auto& [from, to] : edits) {
            ASSERT_NE(text.find(from), std::string::npos) << from;
            text = with(text, from, to);
        }
        EXPECT_EQ(part_of(parts_of_cautions(text), caution), part);
    }
}

TEST(Cautions, AWindingAndATransistorAreToldByTheirName) {
    const auto found = parts_of_cautions(R"([input]
supply = "5 V"
paths = ["supply > S1 > R1 > U1 > return"]
[output]
supply = "24 V"
paths = ["supply > R2 > U1 > Q1.base", "supply > K1 > Q1 > return"]
[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "330 Ω ± 5 %" }
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "10 kΩ ± 5 %" }
Q1 = { card = "npn-medium" }
K1 = { card = "relay-coil-24v" }
[states]
on = { S1 = "closed" }
off = { S1 = "open" }
)");
    EXPECT_EQ(part_of(found, "no-flyback"), "K1");
    EXPECT_EQ(part_of(found, "no-bleed"), "Q1");
}

}  // namespace
}  // namespace gapwright
