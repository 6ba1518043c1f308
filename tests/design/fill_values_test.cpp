// Chosen values in a link's text: readable, the same link, and nothing else changed.
#include "design/values/fill_values.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

#include "circuit/link_point.hpp"
#include "support/link_text.hpp"
#include "value_support.hpp"

namespace gapwright {
namespace {

using testing_support::link_of;
using testing_support::resistor_row;
using testing_support::with;

// A link with two values to choose and something of everything that must stay as it is.
const std::string two_values = R"(title = "Two"   # a title
about = 'Stays "as" it is.'

[surroundings]
temperature = "0 .. 40 °C"

[input]
supply = "9 V ± 5 %"
paths = ["supply > S1 > R1 > U1 > return"]   # one path

[output]
supply = "5 V ± 5 %"
paths = [
  "supply > R2 > signal",  # pull-up
  "signal > U1 > return",
  "signal > L1 > return",
]

[parts]
S1 = { kind = "contact" }
R1 = { kind = "resistor", value = "choose" }  # the emitter's
U1 = { card = "four-pin-coupler-b" }
R2 = { kind = "resistor", value = "choose" }
L1 = { card = "logic-input-5v" }

[states]
on = { S1 = "closed" }
off = { S1 = "open" }

[[promise]]
state = "on"
voltage = "signal"
at_most = "0.8 V"
)";

const Stock& drawer() {
    static const Stock stock = [] {
        Drawer rows;
        rows.rows = {resistor_row(22, 0.05, 0.25),    resistor_row(270, 0.05, 0.25),
                     resistor_row(1000, 0.01, 0.6),   resistor_row(1500, 0.05, {}),
                     resistor_row(4700, 0.05, 0.125), resistor_row(10e3, 0.02, 0.25)};
        return stock_of(rows, "the drawer");
    }();
    return stock;
}

// What is to be filled in: a resistor and its choice in words.
using Wanted = std::vector<std::pair<std::string, std::string>>;

std::vector<ValueToFill> values_of(const Link& link, const Wanted& wanted) {
    std::vector<ValueToFill> values;
    for (const auto& [part, text] : wanted) {
        const auto& choices = drawer().choices;
        const auto choice = std::ranges::find(
            choices, text, [](const Choice& c) { return choice_text(drawer(), c); });
        EXPECT_NE(choice, choices.end()) << text;
        if (choice == choices.end()) continue;
        values.push_back(value_to_fill(drawer(), *choice, link.find_part(part).value()));
    }
    return values;
}

std::string filled(const std::string& text, const Wanted& wanted) {
    const auto source = std::make_shared<const SourceText>("open.link.toml", text);
    const auto link = link_of(text);
    EXPECT_TRUE(link) << to_text(link.error()) << text;
    return link ? fill_values(source, *link, values_of(*link, wanted)) : std::string();
}

// What each supply gives in each state, nominal.
std::vector<double> supply_currents(const Link& link) {
    const auto circuit = build_circuit(link);
    EXPECT_TRUE(circuit) << to_text(circuit.error());
    if (!circuit) return {};
    const auto points = solve_link(circuit->circuit, circuit->nominal_values(), {});
    EXPECT_TRUE(points);
    std::vector<double> currents;
    for (std::size_t s = 0; points && s < points->size(); ++s) {
        for (const Side side : {Side::input, Side::output}) {
            currents.push_back(measure(supply_current(side), (*points)[s]));
        }
    }
    return currents;
}

// The link as it would be with one resistor for each value.
Link with_wholes(const std::string& text, const Wanted& wanted) {
    Link link = link_of(text).value();
    for (const auto& value : values_of(link, wanted)) {
        auto& description = link.parts[value.part].description;
        description.value_to_choose = false;
        description.figures[Key::value].spread = value.whole.value;
    }
    return link;
}

// Reads what was filled in and looks whether it is the same link.
Link same_link(const std::string& text, const Wanted& wanted) {
    const std::string result = filled(text, wanted);
    SCOPED_TRACE(result);
    auto link = link_of(result);
    EXPECT_TRUE(link) << to_text(link.error());
    if (!link) return {};
    const auto whole = supply_currents(with_wholes(text, wanted));
    const auto parts = supply_currents(*link);
    EXPECT_EQ(parts.size(), whole.size());
    for (std::size_t k = 0; k < std::min(whole.size(), parts.size()); ++k) {
        EXPECT_NEAR(parts[k], whole[k], std::abs(whole[k]) * 1e-9) << k;
    }
    return std::move(*link);
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);) lines.push_back(line);
    return lines;
}

std::string with_carriage_returns(const std::string& text) {
    std::string windows;
    for (const char c : text) windows += c == '\n' ? std::string("\r\n") : std::string(1, c);
    return windows;
}

const Description* part_of(const Link& link, const std::string& name) {
    const auto part = link.find_part(name);
    return part ? &link.parts[*part].description : nullptr;
}

TEST(FillValues, WritesSinglesAndNothingElse) {
    const Wanted wanted = {{"R1", "270 Ω"}, {"R2", "1.5 kΩ"}};
    std::string expected = with(two_values, R"(value = "choose" }  # the)",
                                R"(value = "270 Ω ± 5 %", power = "250 mW" }  # the)");
    expected = with(expected, R"("choose")", R"("1.5 kΩ ± 5 %")");  // no power stated
    EXPECT_EQ(filled(two_values, wanted), expected);
    same_link(two_values, wanted);
}

TEST(FillValues, KeepsCarriageReturns) {
    for (const std::string value :
         {"270 Ω", "22 Ω + 270 Ω", "1 kΩ ∥ 4.7 kΩ", "22 Ω + 22 Ω + 270 Ω"}) {
        const Wanted wanted = {{"R1", value}, {"R2", value}};
        const std::string windows = with_carriage_returns(two_values);
        EXPECT_EQ(filled(windows, wanted), with_carriage_returns(filled(two_values, wanted)));
        same_link(windows, wanted);
    }
}

TEST(FillValues, EndsAFileWithoutALastLineEnd) {
    std::string text = two_values;
    const std::string row = "R2 = { kind = \"resistor\", value = \"choose\" }";
    text = with(text, row + "\n", "") + "[parts]\n" + row;
    const auto at = text.find("[parts]");
    const auto to = text.find("[states]");
    const std::string parts = text.substr(at + 8, to - at - 8);
    text.erase(at, to - at);
    text.insert(text.size() - row.size(), parts);
    same_link(text, {{"R1", "270 Ω"}, {"R2", "1 kΩ + 1.5 kΩ"}});
}

TEST(FillValues, WritesASeriesPair) {
    const Wanted wanted = {{"R1", "22 Ω + 270 Ω"}, {"R2", "10 kΩ"}};
    const Link link = same_link(two_values, wanted);
    const auto* first = part_of(link, "R1a");
    const auto* second = part_of(link, "R1b");
    ASSERT_TRUE(first && second);
    EXPECT_FALSE(part_of(link, "R1"));
    EXPECT_DOUBLE_EQ(first->find(Key::value)->spread.nominal, 22);
    EXPECT_DOUBLE_EQ(second->find(Key::value)->spread.nominal, 270);
    EXPECT_DOUBLE_EQ(second->find(Key::power)->spread.nominal, 0.25);
    const auto lines = lines_of(filled(two_values, wanted));
    for (
        const std::string line : {
            R"(paths = ["supply > S1 > R1a > R1b > U1 > return"]   # one path)",
            R"(R1a = { kind = "resistor", value = "22 Ω ± 5 %", power = "250 mW" }  # the emitter's)",
        }) {
        EXPECT_NE(std::ranges::find(lines, line), lines.end()) << line;
    }
    EXPECT_EQ(lines.size(), lines_of(two_values).size() + 1);
}

TEST(FillValues, WritesASeriesTriple) {
    const Wanted wanted = {{"R1", "270 Ω"}, {"R2", "1 kΩ + 1.5 kΩ + 4.7 kΩ"}};
    const Link link = same_link(two_values, wanted);
    for (const std::string name : {"R2a", "R2b", "R2c"}) ASSERT_TRUE(part_of(link, name)) << name;
    // Only what the drawer states.
    EXPECT_TRUE(part_of(link, "R2a")->find(Key::power));
    EXPECT_FALSE(part_of(link, "R2b")->find(Key::power));
}

TEST(FillValues, WritesPartsBesideEachOtherBetweenNamedNodes) {
    for (const std::string value : {"1 kΩ ∥ 4.7 kΩ", "1 kΩ ∥ 1 kΩ ∥ 10 kΩ"}) {
        const Wanted wanted = {{"R1", "270 Ω"}, {"R2", value}};
        const Link link = same_link(two_values, wanted);
        ASSERT_TRUE(part_of(link, "R2a") && part_of(link, "R2b"));
        // No node more than there was.
        EXPECT_EQ(link.output.node_names.size(), link_of(two_values)->output.node_names.size());
    }
}

TEST(FillValues, NamesTheNodesBetweenPartsWhereOthersStandBeside) {
    const Wanted wanted = {{"R1", "270 Ω ∥ 1 kΩ"}, {"R2", "10 kΩ"}};
    const Link link = same_link(two_values, wanted);
    EXPECT_TRUE(link.input.find_node("R1-from"));
    EXPECT_TRUE(link.input.find_node("R1-to"));
}

const std::string neighbours = with(with(two_values, "S1 > R1 > U1", "S1 > R1 > R3 > U1"), "U1 = {",
                                    "R3 = { kind = \"resistor\", value = \"choose\" }\nU1 = {");

TEST(FillValues, WritesNeighboursInOnePath) {
    const std::vector<std::string> ways = {"270 Ω", "270 Ω + 270 Ω", "270 Ω ∥ 1 kΩ",
                                           "1 kΩ ∥ 1 kΩ ∥ 1.5 kΩ"};
    for (const auto& first : ways) {
        for (const auto& second : ways) {
            const Wanted one = {{"R1", first}, {"R3", second}, {"R2", "10 kΩ"}};
            const Wanted other = {{"R3", second}, {"R2", "10 kΩ"}, {"R1", first}};
            same_link(neighbours, one);
            same_link(neighbours, other);
        }
    }
}

// A base is a node of its own where a path ends.
TEST(FillValues, WritesPartsBesideEachOtherAtABase) {
    std::string text = with(two_values, R"(  "supply > R2 > signal",  # pull-up
  "signal > U1 > return",
  "signal > L1 > return",
)",
                            R"(  "supply > U1 > R2 > Q1.base",
  "Q1.base > R4 > return",
  "supply > R5 > signal",
  "signal > Q1 > return",
  "signal > L1 > return",
)");
    text = with(text, "U1 = {",
                "R4 = { kind = \"resistor\", value = \"choose\" }\nR5 = { kind = \"resistor\", "
                "value = \"choose\" }\nQ1 = { card = \"npn-small\" }\nU1 = {");
    for (const std::string value : {"1 kΩ ∥ 4.7 kΩ", "1 kΩ + 4.7 kΩ"}) {
        same_link(text, {{"R1", "1 kΩ"}, {"R2", value}, {"R4", value}, {"R5", value}});
    }
}

TEST(FillValues, RenamesInPromisesWhatFlowsThroughAll) {
    const std::string text = two_values + R"([[promise]]
state = "on"
current = "R1"   # what the emitter gets
at_least = "2 mA"
)";
    const Wanted series = {{"R1", "22 Ω + 1 kΩ"}, {"R2", "10 kΩ"}};
    const Link link = same_link(text, series);
    ASSERT_EQ(link.promises.size(), 2U);
    EXPECT_EQ(link.parts[link.promises[1].part].name, "R1a");
    EXPECT_NE(filled(text, series).find("current = \"R1a\"   # what the emitter gets\n"),
              std::string::npos);
    // No one part of those beside each other has it.
    const Link one = same_link(text, {{"R1", "1 kΩ ∥ 4.7 kΩ"}, {"R2", "10 kΩ"}});
    EXPECT_TRUE(part_of(one, "R1"));
    EXPECT_FALSE(part_of(one, "R1a"));
}

TEST(FillValues, LeavesOnePartWherePromiseIsAboutItsPower) {
    const std::string text = two_values + R"([[promise]]
state = "on"
power = "R1"
at_most = "0.2 W"
)";
    for (const std::string value : {"22 Ω + 1 kΩ", "1 kΩ ∥ 4.7 kΩ"}) {
        const Link link = same_link(text, {{"R1", value}, {"R2", "10 kΩ"}});
        ASSERT_TRUE(part_of(link, "R1"));
        EXPECT_FALSE(part_of(link, "R1a"));
        // More than either may take alone.
        EXPECT_GT(part_of(link, "R1")->find(Key::power)->spread.nominal, 0.25);
    }
}

// Every way to write a part.
TEST(FillValues, KeepsTheFormOfTheParts) {
    const std::string row = "R1 = { kind = \"resistor\", value = \"choose\" }  # the emitter's\n";
    const std::string rest = with(two_values, row, "");
    const auto at_end = [&](const std::string& table) { return rest + table; };
    const auto in_place = [&](const std::string& table) { return with(two_values, row, table); };
    const auto from = two_values.find("[parts]\n");
    const auto to = two_values.find("[states]");
    const std::string others = with(two_values.substr(from + 8, to - from - 8), row, "");
    const std::string without = two_values.substr(0, from) + two_values.substr(to);
    // Keys of the root, before every table.
    const auto all_dotted = [&](const std::string& rows) {
        std::string text;
        for (const auto& line : lines_of(others + rows)) {
            if (!line.empty()) text += "parts." + line + "\n";
        }
        return text + without;
    };
    const auto all_inline = [&](const std::string& one) {
        std::string text;
        for (const auto& line : lines_of(others)) {
            if (!line.empty()) text += line + ", ";
        }
        return "parts = { " + text + one + " }\n" + without;
    };
    for (const std::string& text : {
             at_end("[parts.R1]\nkind = \"resistor\"\nvalue = \"choose\"  # one\n"),
             at_end("[parts.R1]\n  value = \"choose\"\n  kind = \"resistor\"\n"),
             at_end("[parts.R1]\nkind = \"resistor\"\nvalue = \"choose\""),
             in_place("R1.kind = \"resistor\"\nR1.value = \"choose\"  # one\n"),
             in_place("  R1.value = \"choose\"\n  R1.kind = \"resistor\"\n"),
             in_place("R1 = { value = 'choose', kind = 'resistor' }\n"),
             in_place("  \"R1\" = {kind=\"resistor\",value=\"choose\"}\n"),
             in_place("R1 = { value = 'choose', kind = 'resistor', limits.power = '1 mW' }\n"),
             all_dotted(with(row, "  # the emitter's", "")),
             all_dotted("R1.kind = \"resistor\"\nR1.value = \"choose\"\n"),
             all_inline("R1 = { kind = \"resistor\", value = \"choose\" }"),
             all_inline("R1.kind = \"resistor\", R1.value = \"choose\""),
         }) {
        for (const std::string value : {"270 Ω", "22 Ω + 270 Ω", "1 kΩ ∥ 4.7 kΩ"}) {
            const Link link = same_link(text, {{"R1", value}, {"R2", "10 kΩ"}});
            const auto* whole = part_of(link, "R1");
            const auto* first = part_of(link, "R1a");
            ASSERT_TRUE(whole || first);
            EXPECT_TRUE((whole ? whole : first)->find(Key::power));
        }
    }
}

// A comment stays with its line.
TEST(FillValues, PutsPowerOnALineOfItsOwnUnderAHeader) {
    const std::string header =
        "\n[parts.R3]\n  value = \"choose\"  # near 270\n  kind = \"resistor\"\n";
    const std::string text = with(two_values, "S1 > R1 > U1", "S1 > R1 > R3 > U1") + header;
    for (const std::string& t : {text, with_carriage_returns(text)}) {
        std::string result = filled(t, {{"R1", "270 Ω"}, {"R2", "10 kΩ"}, {"R3", "22 Ω"}});
        std::erase(result, '\r');
        EXPECT_TRUE(
            result.ends_with("  value = \"22 Ω ± 5 %\"  # near 270\n  power = \"250 mW\"\n"
                             "  kind = \"resistor\"\n"))
            << result;
        same_link(t, {{"R1", "270 Ω"}, {"R2", "10 kΩ"}, {"R3", "22 Ω"}});
    }
}

TEST(FillValues, TakesNamesThatAreFree) {
    std::string text = with(two_values, "S1 > R1 > U1", "S1 > R1 > R1a > U1");
    text = with(text, "U1 = {", "R1a = { kind = \"resistor\", value = \"10 Ω\" }\nU1 = {");
    const Link link = same_link(text, {{"R1", "22 Ω + 270 Ω"}, {"R2", "10 kΩ"}});
    EXPECT_EQ(link.parts.size(), 7U);
    ASSERT_TRUE(part_of(link, "R1a"));
    EXPECT_DOUBLE_EQ(part_of(link, "R1a")->find(Key::value)->spread.nominal, 10);
    // Nodes count too.
    const std::string node =
        with(with(two_values, "\"supply > R2 > signal\"",
                  "\"supply > R2 > R2a\", \"R2a > R4 > signal\""),
             "U1 = {", "R4 = { kind = \"resistor\", value = \"10 Ω\" }\nU1 = {");
    same_link(node, {{"R1", "270 Ω"}, {"R2", "1 kΩ + 1.5 kΩ"}});
    same_link(node, {{"R1", "270 Ω"}, {"R2", "1 kΩ ∥ 1.5 kΩ"}});
}

TEST(FillValues, TakesPlaceOfAStatedPower) {
    for (const std::string stated : {"power = \"0.1 W\"", "limits = { power = \"0.1 W\" }"}) {
        const std::string text = with(two_values, "value = \"choose\" }  # the",
                                      "value = \"choose\", " + stated + " }  # the");
        for (const std::string value : {"1 kΩ", "22 Ω + 270 Ω", "1 kΩ ∥ 4.7 kΩ"}) {
            const Link link = same_link(text, {{"R1", value}, {"R2", "10 kΩ"}});
            const auto* one = part_of(link, "R1");
            const auto* first = part_of(link, "R1a");
            ASSERT_TRUE(one || first);
            if (first) {
                EXPECT_DOUBLE_EQ(part_of(link, "R1b")->find(Key::power)->spread.nominal,
                                 value.starts_with("1") ? 0.125 : 0.25);
            }
            const double power = (one ? one : first)->find(Key::power)->spread.nominal;
            EXPECT_DOUBLE_EQ(power, value.starts_with("1") ? 0.6 : 0.25);
        }
    }
}

}  // namespace
}  // namespace gapwright
