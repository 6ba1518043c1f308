// What people read at a terminal.
#include "report/text/verdict_text.hpp"
#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"

#include <gtest/gtest.h>

#include "source/terminal_text.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;
using testing_support::plain_link;
using testing_support::with;

std::string text_of(const std::string& file, const TextStyle& style, ProofOptions options = {}) {
    const auto link = link_from(file);
    EXPECT_TRUE(link) << to_text(link.error());
    const auto circuit = build_circuit(*link);
    options.samples = 300;
    const auto proof = prove(*link, *circuit, options);
    return verdict_text(*link, *proof, style);
}

TEST(VerdictText, SaysTheVerdictInWordsAndSigns) {
    const auto kept = text_of(plain_link(), {});
    EXPECT_EQ(kept.rfind("Plain: ✓ kept\n", 0), 0U) << kept;
    const auto broken = text_of(with(plain_link(), "0.8 V", "0.01 V"), {});
    EXPECT_EQ(broken.rfind("Plain: ✗ broken\n", 0), 0U) << broken;
    for (const char* part : {"Promises", "Ratings", "Nominal point", "Worked steps", "Cautions",
                             "where the worst lies"}) {
        EXPECT_NE(kept.find(part), std::string::npos) << part;
    }
}

TEST(VerdictText, TellsWhatMattersMostAndWhatABetterGradeBuys) {
    const auto text = text_of(plain_link(), {});
    EXPECT_NE(text.find("What matters most"), std::string::npos) << text;
    EXPECT_NE(text.find("U1 photocurrent ratio"), std::string::npos) << text;
    EXPECT_NE(text.find("half its spread: worst "), std::string::npos) << text;
    ProofOptions nominal;
    nominal.nominal_only = true;
    EXPECT_EQ(text_of(plain_link(), {}, nominal).find("What matters most"), std::string::npos);
}

// Ten years are 87 660 h.
TEST(VerdictText, TellsEachEmittersHours) {
    const auto told = [](const std::string& duty) {
        return text_of(with(plain_link(), "[input]",
                            "[surroundings]\nservice = \"10 years\"\n" + duty + "[input]"),
                       {});
    };
    EXPECT_EQ(text_of(plain_link(), {}).find("Emitters over"), std::string::npos);
    const auto some = told("duty = { on = \"0.005 %\", off = \"60 %\" }\n");
    EXPECT_NE(some.find("Emitters over 10 years\n  U1  0.005 % of it, 4.38 h, at "),
              std::string::npos)
        << some;
    EXPECT_NE(some.find(" · 60 %, 52 596 h, dark (off) · 40 %, 35 060 h, without supply · light "
                        "left "),
              std::string::npos)
        << some;
    const auto never = told("duty = \"0 %\"\n");
    EXPECT_NE(never.find("  U1  never (on) · 100 % of it, 87 660 h, dark (off) · light left "),
              std::string::npos)
        << never;
    const auto unknown = told("");
    EXPECT_NE(unknown.find("  U1  no duty is stated: it counts as lit all the time at "),
              std::string::npos)
        << unknown;
    EXPECT_NE(unknown.find("(on), the most of any state · light left "), std::string::npos);
}

TEST(VerdictText, ColourOnlyWhereAsked) {
    EXPECT_EQ(for_terminal(text_of(plain_link(), {})).find('\x1b'), std::string::npos);
    EXPECT_NE(for_terminal(text_of(plain_link(), {.colour = true})).find('\x1b'),
              std::string::npos);
}

TEST(VerdictText, StepsCanBeLeftOut) {
    EXPECT_EQ(text_of(plain_link(), {.colour = false, .steps = false}).find("Worked steps"),
              std::string::npos);
}

TEST(VerdictText, ColumnsLineUpByCharactersNotBytes) {
    const auto text = text_of(plain_link(), {});
    const auto column = [](const std::string& line, const std::string& word) {
        std::size_t characters = 0;
        for (const char c : line.substr(0, line.find(word))) {
            characters += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U ? 1 : 0;
        }
        return characters;
    };
    const auto head = text.find("part  limit");
    ASSERT_NE(head, std::string::npos) << text;
    std::istringstream lines(text.substr(text.rfind('\n', head) + 1));
    std::string first;
    std::getline(lines, first);
    const auto verdict = column(first, "verdict");
    for (std::string line; std::getline(lines, line) && !line.empty();) {
        const char* sign = line.find("✓") != std::string::npos ? "✓" : "!";
        EXPECT_EQ(column(line, sign), verdict) << line;
    }
}

}  // namespace
}  // namespace gapwright
