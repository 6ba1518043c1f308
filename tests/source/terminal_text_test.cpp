// What a terminal gets of a text, whoever wrote it.
#include "source/terminal_text.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

TEST(TerminalText, ShowsWhatATerminalWouldObey) {
    const struct {
        std::string_view text;
        std::string_view shown;
    } cases[] = {
        {"330 Ω ± 5 %, “✓ kept”\n", "330 Ω ± 5 %, “✓ kept”\n"},
        {"\x1B[2K\r\a\b\t\v\f", "\\x1b[2K\\x0d\\x07\\x08\\x09\\x0b\\x0c"},
        {std::string_view("\0\x7F", 2), "\\x00\\x7f"},
        {"\u0085\u009B31m", "\\u0085\\u009b31m"},
        {"\u2028\u2029\u202A\u202E\u2066\u2069", "\\u2028\\u2029\\u202a\\u202e\\u2066\\u2069"},
        {"\xFF\xC3z\xE2\x80", "\\xff\\xc3z\\xe2\\x80"},
        {"\xC0\x9B\xED\xA0\x80", "\\xc0\\x9b\\xed\\xa0\\x80"},
    };
    for (const auto& c : cases) {
        EXPECT_EQ(for_terminal(c.text), c.shown);
        if (c.text.find('\n') == std::string_view::npos) {
            EXPECT_EQ(shown_width(c.text), c.shown.size());
        }
    }
    EXPECT_EQ(in_one_line("a\nb\x1B"), "a\\x0ab\x1B");
}

TEST(TerminalText, ColoursWhatIsEmphasisedAndNothingElse) {
    const std::string text = emphasised("✓ kept", Emphasis::good) +
                             emphasised("!", Emphasis::doubtful) + emphasised("✗", Emphasis::bad) +
                             emphasised("Parts", Emphasis::heading);
    EXPECT_EQ(for_terminal(text),
              "\x1B[32m✓ kept\x1B[0m\x1B[33m!\x1B[0m\x1B[31m✗\x1B[0m\x1B[1mParts\x1B[0m");
    EXPECT_EQ(shown_width(text), 6U + 1 + 1 + 5);
    // Emphasis does not make what is within it harmless, nor cover what stands around it.
    EXPECT_EQ(for_terminal(emphasised("a\x1B[0m", Emphasis::bad)), "\x1B[31ma\\x1b[0m\x1B[0m");
}

// A forged mark needs a byte that is not UTF-8 and a NUL: no file that is read holds the one, no
// argument and no file's name the other.
TEST(TerminalText, TakesHalfAMarkForText) {
    EXPECT_EQ(for_terminal("\xFFg"), "\\xffg");
    EXPECT_EQ(for_terminal(std::string_view("\0g", 2)), "\\x00g");
    EXPECT_EQ(for_terminal(std::string_view("\xFF\0", 2)), "\\xff\\x00");
    EXPECT_EQ(for_terminal(std::string_view("\xFF\0z", 3)), "\\xff\\x00z");
}

TEST(TerminalText, KeepsJsonJson) {
    EXPECT_EQ(for_terminal_as_json("{\n  \"a\": \"\u202E\u009B\x7F Ω\xFF\"\n}\n"),
              "{\n  \"a\": \"\\u202e\\u009b\\u007f Ω\\ufffd\"\n}\n");
}

}  // namespace
}  // namespace gapwright
