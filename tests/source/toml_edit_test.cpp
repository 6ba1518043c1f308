#include "source/toml_edit.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

using namespace std::string_literals;

const std::string file =
    "# The bell.\n"
    "title = \"Bell\"   # its name\n"
    "\n"
    "[surroundings]\n"
    "temperature = \"-10 .. 45 °C\"   # measured\n"
    "\n"
    "[input]\n"
    "supply = \"5 V\"\n"
    "paths = [\n"
    "  \"supply > R1 > return\",  # all of it\n"
    "]\n"
    "\n"
    "[parts]\n"
    "R1 = { kind = \"resistor\", value = \"330 Ω\" }   # from the drawer\n"
    "D1 = { ideality = 1.9 }\n"
    "Q1.gain = \"100\"\n"
    "E1 = {}\n"
    "\n"
    "[[promise]]\n"
    "state = \"on\"\n"
    "at_least = \"5 mA\"  # enough\n"
    "\n"
    "[[promise]]\n"
    "state = \"off\"\n"
    "at_most = \"1 µA\"\n";

TomlDocument read(const std::string& text) {
    auto document = read_toml(std::make_shared<const SourceText>("bell.link.toml", text));
    EXPECT_TRUE(document) << text;
    return document ? *document : TomlDocument{};
}

std::string with(const std::string& text, const std::expected<TextEdit, std::string>& edit) {
    EXPECT_TRUE(edit) << (edit ? "" : edit.error());
    if (!edit) return "";
    std::string after = edited(text, {*edit});
    read(after);  // it is TOML still
    return after;
}

std::string set(const TomlPath& path, const std::string& toml, const std::string& text = file) {
    return with(text, set_value(read(text), path, toml));
}

std::string removed(const TomlPath& path, const std::string& text = file) {
    return with(text, remove_value(read(text), path));
}

// What differs: the text with `from` replaced by `to`, once.
std::string changed(const std::string& from, const std::string& to,
                    const std::string& text = file) {
    const auto at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    std::string result = text;
    return result.replace(at, from.size(), to);
}

TEST(TomlEdit, ReplacesOnlyTheValue) {
    EXPECT_EQ(set({"parts"s, "R1"s, "value"s}, "\"1 kΩ\""), changed("\"330 Ω\"", "\"1 kΩ\""));
    EXPECT_EQ(set({"title"s}, "\"Hammer\""), changed("\"Bell\"", "\"Hammer\""));
    EXPECT_EQ(set({"parts"s, "D1"s, "ideality"s}, "2"), changed("1.9", "2"));
    EXPECT_EQ(set({"promise"s, 1U, "at_most"s}, "\"2 µA\""), changed("1 µA", "2 µA"));
    EXPECT_EQ(set({"parts"s, "R1"s}, "{ kind = \"coil\" }"),
              changed("{ kind = \"resistor\", value = \"330 Ω\" }", "{ kind = \"coil\" }"));
}

TEST(TomlEdit, AddsKeysWhereTheirTableStands) {
    EXPECT_EQ(set({"parts"s, "R1"s, "power"s}, "\"0.25 W\""),
              changed("\"330 Ω\" }", "\"330 Ω\", power = \"0.25 W\" }"));
    EXPECT_EQ(set({"parts"s, "E1"s, "kind"s}, "\"coil\""), changed("{}", "{ kind = \"coil\" }"));
    EXPECT_EQ(set({"parts"s, "Q1"s, "kind"s}, "\"transistor\""),
              changed("Q1.gain = \"100\"\n", "Q1.gain = \"100\"\nQ1.kind = \"transistor\"\n"));
    EXPECT_EQ(set({"surroundings"s, "light"s}, "\"5 lx\""),
              changed("# measured\n", "# measured\nlight = \"5 lx\"\n"));
    EXPECT_EQ(set({"promise"s, 0U, "reserve"s}, "\"20 %\""),
              changed("# enough\n", "# enough\nreserve = \"20 %\"\n"));
    EXPECT_EQ(set({"about"s}, "\"x\""), changed("# its name\n", "# its name\nabout = \"x\"\n"));
    EXPECT_EQ(set({"input"s, "note"s}, "\"x\""),
              changed("]\n\n[parts]", "]\nnote = \"x\"\n\n[parts]"));
}

TEST(TomlEdit, AddsATableThatIsNotThere) {
    EXPECT_EQ(set({"insulation"s, "grade"s}, "\"basic\""),
              file + "\n[insulation]\ngrade = \"basic\"\n");
    EXPECT_EQ(set({"a"s, "b"s}, "1", "x = 1"), "x = 1\n\n[a]\nb = 1\n");
    EXPECT_EQ(set({"a"s}, "1", ""), "a = 1\n");
    EXPECT_EQ(set({"a"s}, "1", "[t]\nb = 1\n"), "a = 1\n[t]\nb = 1\n");
}

TEST(TomlEdit, QuotesKeysThatNeedIt) {
    EXPECT_EQ(set({"parts"s, "R 2"s}, "{}", "[parts]\n"), "[parts]\n\"R 2\" = {}\n");
    EXPECT_EQ(toml_string("a \"b\" \\ \n\x7f Ω"), R"("a \"b\" \\ \u000a\u007f Ω")");
}

TEST(TomlEdit, KeepsCarriageReturns) {
    const std::string text = "[a]\r\nx = 1\r\n\r\n[b]\r\ny = 2\r\n";
    EXPECT_EQ(set({"a"s, "z"s}, "3", text), "[a]\r\nx = 1\r\nz = 3\r\n\r\n[b]\r\ny = 2\r\n");
    EXPECT_EQ(removed({"a"s, "x"s}, text), "[a]\r\n\r\n[b]\r\ny = 2\r\n");
}

TEST(TomlEdit, TakesKeysOut) {
    EXPECT_EQ(removed({"parts"s, "R1"s, "value"s}), changed(", value = \"330 Ω\"", ""));
    EXPECT_EQ(removed({"parts"s, "R1"s, "kind"s}), changed("kind = \"resistor\", ", ""));
    EXPECT_EQ(removed({"parts"s, "D1"s, "ideality"s}), changed("ideality = 1.9", ""));
    EXPECT_EQ(removed({"surroundings"s, "temperature"s}),
              changed("temperature = \"-10 .. 45 °C\"   # measured\n", ""));
    EXPECT_EQ(removed({"input"s, "paths"s}),
              changed("paths = [\n  \"supply > R1 > return\",  # all of it\n]\n", ""));
}

TEST(TomlEdit, TakesOneTableOfMany) {
    EXPECT_EQ(removed({"promise"s, 0U}),
              changed("[[promise]]\nstate = \"on\"\nat_least = \"5 mA\"  # enough\n\n", ""));
    EXPECT_EQ(removed({"promise"s, 1U}),
              changed("\n[[promise]]\nstate = \"off\"\nat_most = \"1 µA\"\n", ""));
}

TEST(TomlEdit, AppendsTables) {
    const TomlKeys keys = {{"state", "\"on\""}, {"current", "\"R1\""}};
    const std::string lines = "\n\n[[promise]]\nstate = \"on\"\ncurrent = \"R1\"";
    EXPECT_EQ(with(file, append_table(read(file), "promise", keys)),
              file.substr(0, file.size() - 1) + lines + "\n");
    EXPECT_EQ(with("x = 1\n", append_table(read("x = 1\n"), "promise", keys)),
              "x = 1" + lines + "\n");
    EXPECT_FALSE(append_table(read(file), "title", keys));
}

TEST(TomlEdit, RefusesWhatItCannotDo) {
    const TomlDocument document = read(file);
    EXPECT_FALSE(set_value(document, {}, "1"));
    EXPECT_FALSE(set_value(document, {"parts"s}, "1"));              // a whole table
    EXPECT_FALSE(set_value(document, {"promise"s}, "1"));            // all of them
    EXPECT_FALSE(set_value(document, {"promise"s, 7U, "x"s}, "1"));  // there is no eighth
    EXPECT_FALSE(set_value(document, {"title"s, "x"s}, "1"));        // within a text
    EXPECT_FALSE(set_value(document, {"a"s, "b"s, "c"s}, "1"));
    EXPECT_FALSE(set_value(document, {"input"s, "paths"s, 5U}, "1"));
    EXPECT_FALSE(remove_value(document, {"parts"s, "R9"s}));
    EXPECT_FALSE(remove_value(document, {"parts"s}));
    EXPECT_FALSE(remove_value(document, {"input"s, "paths"s, 0U}));
    EXPECT_FALSE(remove_value(document, {}));
}

}  // namespace
}  // namespace gapwright
