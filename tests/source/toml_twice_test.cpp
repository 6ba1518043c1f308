// A name that a TOML document defines twice: the commonest slip of its grammar, told with both
// places.
#include <gtest/gtest.h>

#include "source/toml_document.hpp"

namespace gapwright {
namespace {

Expected<TomlDocument> read(std::string text) {
    return read_toml(std::make_shared<const SourceText>("x.toml", std::move(text)));
}

struct TwiceCase {
    std::string_view what;
    std::string text;
    std::string_view second;  // "line:column" of the name told of again
    std::string_view first;
};

TEST(Toml, TellsBothPlacesOfANameDefinedTwice) {
    const TwiceCase cases[] = {
        {"key", "a = 1\nb = 2\na = 3\n", "3:1", "1:1"},
        {"key of a table", "R1 = 0\n[parts]\n\"R1\" = {}\n  R1 = {}\n", "4:3", "3:1"},
        {"key of the last of several tables", "[[p]]\nx=1\n[[p]]\nx=1\nx=2\n", "5:1", "4:1"},
        {"table", "[a]\n[b]\n [a]\n", "3:3", "1:2"},
        {"dotted key", "a.b.c = 1\na.b = 2\n", "2:3", "1:3"},
        {"table of a dotted key", "[a]\nb.c = 1\n[a.b]\n", "3:4", "2:1"},
        {"within one inline table, the second alone", "a = { b = 1, b = 2 }", "1:18", ""},
        {"within lines of a list, the second alone", "a = [\n{ b = 1, b = 2 }]", "2:14", ""},
    };
    for (const TwiceCase& c : cases) {
        const auto document = read(c.text);
        ASSERT_FALSE(document) << c.what;
        const std::string text = to_text(document.error());
        const std::string second = "x.toml:" + std::string(c.second) + ": error: ";
        EXPECT_TRUE(text.starts_with(second)) << c.what << "\n" << text;
        const std::string first = "\nx.toml:" + std::string(c.first) + ": note: ";
        EXPECT_EQ(text.find(first) != std::string::npos, !c.first.empty()) << c.what << "\n"
                                                                           << text;
    }
}

}  // namespace
}  // namespace gapwright
