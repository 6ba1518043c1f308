#include "source/diagnostics.hpp"

#include <gtest/gtest.h>

#include <set>

namespace gapwright {
namespace {

std::shared_ptr<const SourceText> source(std::string text) {
    return std::make_shared<const SourceText>("bell.link.toml", std::move(text));
}

Diagnostic at(const std::shared_ptr<const SourceText>& text, std::size_t begin, std::size_t end) {
    return {.cause = Cause::wrong_unit,
            .place = {.text = text, .begin = begin, .end = end},
            .message = "wrong",
            .remedy = {}};
}

std::string repeated(std::string_view piece, int times) {
    std::string result;
    for (int k = 0; k < times; ++k) result += piece;
    return result;
}

TEST(DiagnosticText, IsWhatTheHeaderShows) {
    std::string written(11, '\n');
    written += "R1 = { kind = \"resistor\", value = \"330 V\" }\n";
    const auto text = source(written);
    const std::size_t begin = written.find("330 V");
    const Diagnostic diagnostic{.cause = Cause::wrong_unit,
                                .place = {.text = text, .begin = begin, .end = begin + 5},
                                .message = "a resistance is in ohms, not volts",
                                .remedy = "write for example \"330 Ω\", \"4.7 kΩ\" or \"4k7\""};
    EXPECT_EQ(to_text(diagnostic),
              "bell.link.toml:12:36: error: a resistance is in ohms, not volts [wrong-unit]\n"
              "   12 | R1 = { kind = \"resistor\", value = \"330 V\" }\n"
              "      |                                    ^~~~~\n"
              "      = write for example \"330 Ω\", \"4.7 kΩ\" or \"4k7\"\n");
}

TEST(DiagnosticText, ShowsTheOtherPlaceAsANote) {
    const auto text = source("a = 1\nb = 2\na = 3\n");
    Diagnostic diagnostic = at(text, 12, 13);
    diagnostic.remedy = "keep one";
    diagnostic.other = Place{.text = text, .begin = 0, .end = 1};
    diagnostic.other_message = "\"a\" is defined here first";
    EXPECT_EQ(to_text(diagnostic),
              "bell.link.toml:3:1: error: wrong [wrong-unit]\n"
              "   3 | a = 3\n"
              "     | ^\n"
              "     = keep one\n"
              "bell.link.toml:1:1: note: \"a\" is defined here first\n"
              "   1 | a = 1\n"
              "     | ^\n");
    diagnostic.other->text = nullptr;
    EXPECT_TRUE(to_text(diagnostic).ends_with("= keep one\nnote: \"a\" is defined here first\n"));
}

TEST(DiagnosticText, WithoutATextIsTheMessageAlone) {
    EXPECT_EQ(to_text(at(nullptr, 3, 4)), "error: wrong [wrong-unit]\n");
}

struct ExcerptCase {
    std::string_view what;
    std::string line;
    std::size_t begin;
    std::size_t end;
    std::string shown;
    std::string carets;
};

TEST(DiagnosticText, UnderlinesByColumns) {
    const ExcerptCase cases[] = {
        {"an empty place", "abc", 1, 1, "abc", " ^"},
        {"the line's end", "abc", 3, 3, "abc", "   ^"},
        {"an empty line", "", 0, 0, "", "^"},
        {"characters of several bytes", "µ = \"5 Ω\"", 5, 11, "µ = \"5 Ω\"", "    ^~~~~"},
        {"tabs", "\ta\tb", 1, 4, " a b", " ^~~"},
        {"control characters", "a\x01\x1B[31mb\x7F", 0, 2, "a\\x01\\x1b[31mb\\x7f", "^~~~~"},
        {"control characters of two bytes", "a\u009Bb", 3, 4, "a\\u009bb", "       ^"},
        {"characters that turn the direction", "a\u202Eb", 4, 5, "a\\u202eb", "       ^"},
        {"bytes that are not UTF-8", "a\xFF\xC3z", 3, 4, "a\\xff\\xc3z", "         ^"},
        {"a place of several lines", "ab[\n1]", 1, 6, "ab[", " ^~"},
        {"carriage return before the line end", "ab\r\n", 0, 2, "ab", "^~"},
    };
    for (const ExcerptCase& c : cases) {
        const std::string text = to_text(at(source(c.line), c.begin, c.end));
        const std::string excerpt = "   1 | " + c.shown + "\n     | " + c.carets + "\n";
        EXPECT_TRUE(text.ends_with("[wrong-unit]\n" + excerpt)) << c.what << "\n" << text;
    }
}

TEST(DiagnosticText, CutsLongLinesAroundTheCaret) {
    const std::string before = repeated("µ", 300);
    const std::string after = repeated("z", 300);
    const auto excerpt = [](const std::string& line, std::size_t begin, std::size_t end) {
        const std::string text = to_text(at(source(line), begin, end));
        return text.substr(text.find('\n') + 1);
    };
    EXPECT_EQ(excerpt(before + "bad" + after, before.size(), before.size() + 3),
              "   1 | …" + repeated("µ", 40) + "bad" + repeated("z", 77) + "…\n     | " +
                  std::string(41, ' ') + "^~~\n");
    EXPECT_EQ(excerpt("bad" + after, 0, 3), "   1 | bad" + repeated("z", 117) + "…\n     | ^~~\n");
    EXPECT_EQ(excerpt(after + "bad", 300, 303),
              "   1 | …" + repeated("z", 117) + "bad\n     | " + std::string(118, ' ') + "^~~\n");
    EXPECT_EQ(excerpt(after, 300, 300),
              "   1 | …" + repeated("z", 120) + "\n     | " + std::string(121, ' ') + "^\n");
    // What is underlined beyond the cut is underlined up to it.
    EXPECT_EQ(excerpt(after, 0, 300),
              "   1 | " + repeated("z", 120) + "…\n     | ^" + std::string(119, '~') + "\n");
    EXPECT_EQ(excerpt(repeated("z", 120), 0, 1), "   1 | " + repeated("z", 120) + "\n     | ^\n");
}

TEST(DiagnosticText, MakesMessageAndNameHarmless) {
    Diagnostic diagnostic = at(nullptr, 0, 0);
    diagnostic.message = "a\x1B[2Jb\nc\xFF";
    EXPECT_EQ(to_text(diagnostic), "error: a\\x1b[2Jb\\x0ac\\xff [wrong-unit]\n");
    diagnostic.place.text = std::make_shared<const SourceText>("\x1B.toml", "a");
    EXPECT_TRUE(to_text(diagnostic).starts_with("\\x1b.toml:1:1: error: "));
}

TEST(ProblemsText, IsInOrderOfFilesAndPlacesWithoutRepeats) {
    const auto first = source("abc\nabc\n");
    const auto second = std::make_shared<const SourceText>("other", "abc\n");
    const auto named = [](Diagnostic d, std::string message) {
        d.message = std::move(message);
        return d;
    };
    const Problems problems = {
        named(at(first, 5, 6), "2"),  named(at(second, 0, 1), "3"), named(at(first, 0, 1), "1"),
        named(at(first, 5, 6), "2"),  named(at(first, 5, 6), "2b"), named(at(second, 2, 3), "4"),
        named(at(second, 0, 1), "3"),
    };
    const std::string text = to_text(problems);
    std::vector<std::string> order;
    for (std::size_t at = 0; (at = text.find("error: ", at)) != std::string::npos; ++at) {
        order.push_back(text.substr(at + 7, text.find(" [", at) - at - 7));
    }
    EXPECT_EQ(order, (std::vector<std::string>{"1", "2", "2b", "3", "4"}));
    EXPECT_EQ(to_text(Problems{}), "");
}

TEST(ProblemsText, TakesManyProblemsQuickly) {
    const auto text = source(std::string(100'000, '\n'));
    Problems problems;
    for (std::size_t k = 100'000; k > 0; --k) problems.push_back(at(text, k - 1, k - 1));
    EXPECT_GT(to_text(problems).size(), problems.size());
}

TEST(CauseName, IsThereForEachCauseAndNeverTwice) {
    std::set<std::string_view> names;
    for (int k = 0; k <= static_cast<int>(Cause::too_large); ++k) {
        const std::string_view name = cause_name(static_cast<Cause>(k));
        EXPECT_NE(name, "defect") << k;
        EXPECT_EQ(name.find_first_not_of("abcdefghijklmnopqrstuvwxyz-8"), std::string_view::npos);
        names.insert(name);
    }
    EXPECT_EQ(names.size(), static_cast<std::size_t>(Cause::too_large) + 1);
}

struct NearCase {
    std::string_view what;
    std::string name;
    std::vector<std::string> candidates;
    std::string nearest;
};

TEST(NearestName, FindsTheNameThatWasMeant) {
    const NearCase cases[] = {
        {"case", "r1", {"R2", "R1"}, "R1"},
        {"a letter too many", "resistorr", {"capacitor", "resistor"}, "resistor"},
        {"a letter missing", "resstor", {"resistor"}, "resistor"},
        {"neighbours swapped count once", "pwoer", {"power", "tower"}, "power"},
        {"exactly a third", "abx", {"abc"}, "abc"},
        {"more than a third", "ax", {"ab"}, ""},
        {"a third of the longer one", "R1", {"R11"}, "R11"},
        {"nothing alike", "colour", {"R1", "supply"}, ""},
        {"the nearest of several", "supplies", {"supper", "supply", "supplied"}, "supplied"},
        {"the first of equally near ones", "led1", {"led2", "led3"}, "led2"},
        {"letters of several bytes are one letter", "Lämp", {"Lamp"}, "Lamp"},
        {"empty", "", {"", "a"}, ""},
        {"no candidates", "a", {}, ""},
        {"very long", repeated("a", 101), {repeated("a", 101)}, ""},
    };
    for (const NearCase& c : cases) {
        EXPECT_EQ(nearest_name(c.name, c.candidates), c.nearest) << c.what;
    }
    EXPECT_EQ(did_you_mean("r1", {"R1"}), " (did you mean \"R1\"?)");
    EXPECT_EQ(did_you_mean("x", {"R1"}), "");
}

}  // namespace
}  // namespace gapwright
