#include "source/text_edit.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

TEST(TextEdit, LeavesAllElseAsItIs) {
    const std::string text = "a = 1   # one\nb = 2\n";
    EXPECT_EQ(edited(text, {{18, 19, "22"}, {4, 5, "11"}}), "a = 11   # one\nb = 22\n");
    EXPECT_EQ(edited(text, {}), text);
}

TEST(TextEdit, InsertsInTheOrderGiven) {
    EXPECT_EQ(edited("xy", {{1, 1, "1"}, {2, 2, "3"}, {1, 1, "2"}}), "x12y3");
}

TEST(TextEdit, EndsLinesAsTheTextDoes) {
    EXPECT_EQ(edited("a\r\nb\r\n", {{3, 3, "c\n"}}), "a\r\nc\r\nb\r\n");
}

TEST(TextEdit, ReplacesWhatStandsAtAPlace) {
    const auto text = std::make_shared<const SourceText>("f", "one two three");
    EXPECT_EQ(edited(text->text(), {replacement_at({text, 4, 7}, "2")}), "one 2 three");
}

}  // namespace
}  // namespace gapwright
