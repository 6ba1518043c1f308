#include "source/source_text.hpp"

#include <gtest/gtest.h>

#include "source/utf8.hpp"

namespace gapwright {
namespace {

struct PositionCase {
    std::string_view what;
    std::string text;
    std::size_t offset;
    std::size_t line;
    std::size_t column;
};

TEST(SourceText, FindsLineAndColumnInCharacters) {
    const PositionCase cases[] = {
        {"start", "ab\ncd", 0, 1, 1},
        {"line feed belongs to its line", "ab\ncd", 2, 1, 3},
        {"second line", "ab\ncd", 4, 2, 2},
        {"end", "ab\ncd", 5, 2, 3},
        {"past the end", "ab\ncd", 99, 2, 3},
        {"after the last line end", "ab\n", 3, 2, 1},
        {"carriage return before line feed", "ab\r\ncd", 4, 2, 1},
        {"carriage return alone is a character", "a\rb", 2, 1, 3},
        {"characters, not bytes", "µΩ=x", 4, 1, 3},
        {"within a character: its column", "µΩ=x", 3, 1, 2},
        {"four bytes", "\U0001F514!", 4, 1, 2},
        {"a byte that belongs to no character", "ab\x80", 2, 1, 3},
        {"a byte order mark has no column", "\uFEFFa=1", 4, 1, 2},
        {"within the byte order mark", "\uFEFFa=1", 1, 1, 1},
        {"empty text", "", 0, 1, 1},
    };
    for (const PositionCase& c : cases) {
        const SourceText text("x", c.text);
        const auto [line, column] = text.line_column(c.offset);
        EXPECT_EQ(line, c.line) << c.what;
        EXPECT_EQ(column, c.column) << c.what;
    }
}

TEST(SourceText, FindsTheOffsetOfEveryCharacterAgain) {
    // Long enough for many blocks of the index, with lines longer than a block.
    std::string written = "\uFEFF";
    for (int k = 0; k < 700; ++k) {
        written += k % 90 == 89 ? "\r\n" : k % 7 == 0 ? "\n" : "aµ→\U0001F514";
    }
    for (int k = 0; k < 400; ++k) written += "→µ";
    const SourceText text("x", written);
    for (std::size_t at = byte_order_mark.size(); at < written.size(); ++at) {
        if (is_continuation_byte(written[at])) continue;
        const bool second_of_line_end = written[at] == '\n' && written[at - 1] == '\r';
        EXPECT_EQ(text.offset(text.line_column(at)), second_of_line_end ? at - 1 : at);
    }
}

TEST(SourceText, ClampsLinesAndColumns) {
    const SourceText text("x", "ab\r\ncdé");
    EXPECT_EQ(text.offset({.line = 1, .column = 9}), 2U);
    EXPECT_EQ(text.offset({.line = 2, .column = 9}), text.text().size());
    EXPECT_EQ(text.offset({.line = 9, .column = 1}), text.text().size());
    EXPECT_EQ(text.offset({.line = 0, .column = 0}), 0U);
    EXPECT_EQ(text.offset({.line = 2, .column = static_cast<std::size_t>(-1)}), 8U);
}

TEST(SourceText, GivesLinesWithoutTheirEnds) {
    const SourceText text("name", "\uFEFFone\r\ntwo\n\nfour\r");
    EXPECT_EQ(text.name(), "name");
    EXPECT_EQ(text.line(0), "");
    EXPECT_EQ(text.line(1), "one");
    EXPECT_EQ(text.line(2), "two");
    EXPECT_EQ(text.line(3), "");
    EXPECT_EQ(text.line(4), "four\r");
    EXPECT_EQ(text.line(5), "");
}

TEST(Place, PartIsClamped) {
    const auto text = std::make_shared<const SourceText>("x", "0123456789");
    const Place place{.text = text, .begin = 2, .end = 6};
    const auto bytes = [](const Place& p) { return std::pair(p.begin, p.end); };
    EXPECT_EQ(bytes(place.part(1, 3)), std::pair(3UL, 5UL));
    EXPECT_EQ(bytes(place.part(0, 99)), std::pair(2UL, 6UL));
    EXPECT_EQ(bytes(place.part(99, 99)), std::pair(6UL, 6UL));
    EXPECT_EQ(bytes(place.part(3, 1)), std::pair(5UL, 5UL));
}

TEST(Utf8, TellsCodePointsFromOtherBytes) {
    struct Case {
        std::string_view what;
        std::string_view text;
        char32_t value;
        std::size_t bytes;
    };
    const Case cases[] = {
        {"ASCII", "a", U'a', 1},
        {"two bytes", "µ", U'µ', 2},
        {"three bytes", "→", U'→', 3},
        {"four bytes", "\U0010FFFF", U'\U0010FFFF', 4},
        {"least of two bytes", "\xC2\x80", 0x80, 2},
        {"alone", "\x80", 0, 0},
        {"cut off", "\xE2\x86", 0, 0},
        {"followed by a letter", "\xC2z", 0, 0},
        {"overlong slash", "\xC0\xAF", 0, 0},
        {"overlong of three bytes", "\xE0\x80\xAF", 0, 0},
        {"overlong of four bytes", "\xF0\x80\x80\xAF", 0, 0},
        {"surrogate", "\xED\xA0\x80", 0, 0},
        {"above the last code point", "\xF4\x90\x80\x80", 0, 0},
        {"five bytes", "\xF8\x88\x80\x80\x80", 0, 0},
    };
    for (const Case& c : cases) {
        EXPECT_EQ(code_point(c.text, 0).bytes, c.bytes) << c.what;
        if (c.bytes > 0) {
            EXPECT_EQ(code_point(c.text, 0).value, c.value) << c.what;
        }
    }
    EXPECT_EQ(find_invalid_utf8("aµ→\xFFz"), 6U);
    EXPECT_EQ(find_invalid_utf8("aµ→"), std::string_view::npos);
}

}  // namespace
}  // namespace gapwright
