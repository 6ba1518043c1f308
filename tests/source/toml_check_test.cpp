// Nesting that would exhaust the stack: keys by source/toml_check.hpp, values by the library.
#include "source/toml_check.hpp"

#include <gtest/gtest.h>

#include "source/toml_document.hpp"

namespace gapwright {
namespace {

Expected<TomlDocument> read(std::string text) {
    return read_toml(std::make_shared<const SourceText>("x.toml", std::move(text)));
}

std::string repeated(std::string_view piece, int times) {
    std::string result;
    for (int k = 0; k < times; ++k) result += piece;
    return result;
}

TEST(TomlNesting, RefusesNestingThatWouldExhaustTheStack) {
    const std::pair<std::string_view, std::string> cases[] = {
        {"lists", "a = " + repeated("[", 100'000)},
        {"closed lists", "a = " + repeated("[", 100'000) + repeated("]", 100'000)},
        {"brackets at the start", repeated("[", 100'000)},
        {"inline tables", "a = " + repeated("{a = ", 100'000)},
        {"dotted key", repeated("a.", 400'000) + "a = 1"},
        {"dotted key of quoted names", repeated("'a'.", 200'000) + "a = 1"},
        {"dotted key in an inline table", "a = {" + repeated("a.", 400'000) + "a = 1}"},
        {"table", "[" + repeated("a . ", 200'000) + "a]"},
        {"behind a text with quotes at its end",
         "a = {b = '''x'''', " + repeated("c.", 40) + "c=1}"},
    };
    for (const auto& [what, text] : cases) {
        const auto document = read(text);
        ASSERT_FALSE(document) << what;
        EXPECT_EQ(document.error()[0].cause, Cause::not_toml) << what;
    }
}

TEST(TomlNesting, ReadsDotsThatAreNoKeys) {
    const std::string dots(40, '.');
    for (const std::string& text :
         {"a = \"" + dots + "\"", "a = '" + dots + "'", "# " + dots, "a = \"\\\"" + dots + "\"",
          "a = '''\n" + dots + "''' # " + dots, "a = [" + repeated("1.5, ", 40) + "]",
          "\"" + dots + "\" = 1"}) {
        EXPECT_TRUE(read(text)) << text;
    }
    EXPECT_TRUE(read(repeated("a.", 15) + "a = 1"));
    EXPECT_FALSE(read(repeated("a.", 16) + "a = 1"));
    EXPECT_TRUE(read("a = " + repeated("[", 60) + repeated("]", 60)));
}

TEST(TomlNesting, IsShownWhereItGoesTooFar) {
    const auto document = read("# µ\n" + repeated("a.", 20) + "a = 1");
    ASSERT_FALSE(document);
    EXPECT_TRUE(
        to_text(document.error())
            .starts_with("x.toml:2:32: error: a key has more than 16 parts here [not-toml]"))
        << to_text(document.error());
    const auto list = read("a = " + repeated("[", 100));
    ASSERT_FALSE(list);
    EXPECT_TRUE(
        to_text(list.error()).starts_with("x.toml:1:69: error: exceeded maximum nested value"))
        << to_text(list.error());
}

}  // namespace
}  // namespace gapwright
