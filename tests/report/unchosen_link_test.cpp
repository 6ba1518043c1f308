// A link with values still to be chosen: its schematic can be read, shows what is to be chosen and
// no figure that nobody solved, and its report judges nothing and says how to go on.
#include "report/html/unchosen_link.hpp"
#include "card/key.hpp"

#include <gtest/gtest.h>

#include <pugixml.hpp>

#include "draw/schematic.hpp"
#include "reference/made_networks.hpp"
#include "report/clear_picture.hpp"
#include "report/pictures/part_symbol.hpp"
#include "report/pictures/schematic_view.hpp"
#include "support/how_many.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::with;

std::string speed_example(const std::string& name) {
    return PROJECT_FOLDER "/examples/clock-tower/speed/" + name + ".link.toml";
}

Link read(const std::string& name) {
    auto link = read_link_file(speed_example(name));
    EXPECT_TRUE(link) << (link ? "" : to_text(link.error()));
    return link ? std::move(*link) : Link{};
}

// The words of each part in a schematic, by its name; a gap's of both halves.
std::map<std::string, std::vector<std::string>> words_of(const Picture& picture) {
    pugi::xml_document document;
    const std::string svg = picture.svg(true);
    EXPECT_TRUE(document.load_buffer(svg.data(), svg.size()));
    std::map<std::string, std::vector<std::string>> words;
    for (const auto& found : document.select_nodes("//g[@data-part]")) {
        auto& own = words[found.node().attribute("data-part").value()];
        for (const auto& text : found.node().select_nodes(".//text")) {
            own.emplace_back(text.node().text().get());
        }
    }
    return words;
}

void expect_drawn(const Link& link, std::size_t state, const std::string& name) {
    const Picture picture = draw_schematic(schematic_view(link, state));
    testing_support::expect_clear(picture, name);
    EXPECT_EQ(testing_support::crossings(picture), 0) << name;
    const auto words = words_of(picture);
    EXPECT_EQ(words.size(), link.parts.size()) << name;
    for (const Part& part : link.parts) {
        const auto& own = words.at(part.name);
        const auto chosen = std::ranges::count(own, "to be chosen");
        EXPECT_EQ(chosen, part.description.value_to_choose ? 1 : 0) << name << ": " << part.name;
        if (part.is_gap()) continue;
        // Its name, its value and its setting: no current.
        std::vector<std::string> expected = {part.name};
        if (const auto value = part_value(part); !value.empty()) expected.push_back(value);
        const auto& settings = link.states[state].settings;
        const auto set = settings.find(*link.find_part(part.name));
        if (set != settings.end()) expected.emplace_back(setting_word(set->second));
        EXPECT_EQ(own, expected) << name;
    }
}

TEST(UnchosenLink, ShippedExamplesAreDrawnInEveryState) {
    for (const char* name : {"night-silence", "chime-bus"}) {
        const Link link = read(name);
        ASSERT_EQ(link.to_choose().size(), 1U);
        const auto pictures = unchosen_schematics(link);
        ASSERT_EQ(pictures.size(), link.states.size());
        for (std::size_t s = 0; s < link.states.size(); ++s) {
            EXPECT_EQ(pictures[s].name, "schematic-" + link.states[s].name);
            expect_drawn(link, s, name);
        }
    }
}

// Contacts stand as each state sets them, and the outline of what is to be chosen is broken.
TEST(UnchosenLink, StatesDifferAndTheOpenPartIsMarked) {
    const Link link = read("night-silence");
    const auto shown = [&](const char* state) {
        const auto input = schematic_view(link, *link.find_state(state));
        std::map<std::string, SchematicPart> parts;
        for (const auto* side : {&input.input, &input.output}) {
            for (const auto& strand : side->strands) {
                for (const auto& part : strand.parts) parts[part.name] = part;
            }
            for (const auto& node : side->nodes) EXPECT_EQ(node.note + node.band, "");
        }
        return parts;
    };
    EXPECT_FALSE(shown("day").at("S1").closed);
    EXPECT_TRUE(shown("night").at("S1").closed);
    EXPECT_EQ(shown("night").at("R1").notes, std::vector<std::string>{"2.2 kΩ ± 5 %"});
    for (const auto& [name, part] : shown("night")) EXPECT_EQ(part.to_choose, name == "R2");
}

// Any resistors of any link may be open.
TEST(UnchosenLink, GeneratedLinksAreClear) {
    for (std::uint64_t seed = 1; seed <= testing_support::how_many(60U, 500U); ++seed) {
        auto link = link_from(reference::file_text(reference::made_network(seed)));
        ASSERT_TRUE(link) << seed;
        std::size_t k = 0;
        for (Part& part : link->parts) {
            if (part.description.kind != Kind::resistor || k++ % 2 == 1) continue;
            part.description.value_to_choose = true;
            part.description.figures.erase(Key::value);
        }
        expect_drawn(*link, 0, "seed " + std::to_string(seed));
        if (HasFailure()) break;
    }
}

TEST(UnchosenLink, ReportJudgesNothingAndSaysHowToGoOn) {
    const Link link = read("night-silence");
    const std::string html = unchosen_html(link, unchosen_schematics(link), "the file's text");
    for (const char* told :
         {"not judged", "R2 is still to be chosen", "the E24 series",
          "gapwright design night-silence.link.toml -o night-silence-chosen.link.toml",
          "On a solderless board", "voltage quiet reaches 2.4", "closed</td>",
          "<td>to be chosen</td>", "the file&#39;s text"}) {
        const std::string wanted = told;
        EXPECT_TRUE(html.contains(wanted) || html.contains(with(wanted, "&#39;", "'"))) << told;
    }
    for (const char* invented : {"✓", "✗", "! thin", "kept</", "broken</", "Worst", "<script"}) {
        EXPECT_FALSE(html.contains(invented)) << invented;
    }
    // As many verdicts as promises, and one for the whole.
    std::size_t count = 0;
    for (std::size_t at = 0; (at = html.find(">not judged<", at)) != std::string::npos; ++at)
        ++count;
    EXPECT_EQ(count, link.promises.size() + 1);
}

TEST(UnchosenLink, SeveralPartsAndADrawerAreNamed) {
    std::string text = testing_support::plain_link();
    text = with(with(text, "1 kΩ ± 5 %", "choose"), "10 kΩ ± 5 %", "choose");
    text += "[choose]\ndrawer = \"the <drawer>.csv\"\n";
    const auto link = link_from(text);
    ASSERT_TRUE(link) << to_text(link.error());
    EXPECT_EQ(unchosen_sentence(*link),
              "R1 and R2 are still to be chosen: until then nothing can be judged.");
    const std::string html = unchosen_html(*link, unchosen_schematics(*link), text);
    EXPECT_TRUE(html.contains("from the &lt;drawer&gt;.csv"));
    EXPECT_FALSE(html.contains("<drawer>"));
}

// What a shell is given, it takes as one word.
TEST(UnchosenLink, CommandsAreTakenByAShellAsTheyAreMeant) {
    EXPECT_EQ(choose_command("clock/night.link.toml"),
              "gapwright design clock/night.link.toml -o clock/night-chosen.link.toml");
    EXPECT_EQ(choose_command("my link.link.toml"),
              "gapwright design 'my link.link.toml' -o 'my link-chosen.link.toml'");
    EXPECT_EQ(choose_command("it's;$(x).toml"),
              R"(gapwright design 'it'\''s;$(x).toml' -o 'it'\''s;$(x).toml-chosen.link.toml')");
    EXPECT_EQ(choose_command("-n.link.toml"),
              "gapwright design './-n.link.toml' -o './-n-chosen.link.toml'");
}

}  // namespace
}  // namespace gapwright
