#include "source/toml_document.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace gapwright {
namespace {

Expected<TomlDocument> read(std::string text) {
    return read_toml(std::make_shared<const SourceText>("x.toml", std::move(text)));
}

std::string_view written(const Place& place) {
    return place.text->text().substr(place.begin, place.end - place.begin);
}

const TomlValue& value_of(const Expected<TomlDocument>& document, std::string_view key) {
    const TomlEntry* entry = document ? document->root.find(key) : nullptr;
    static const TomlValue none{};
    EXPECT_NE(entry, nullptr) << key;
    return entry == nullptr ? none : entry->value;
}

TEST(Toml, ReadsEveryTypeOfValue) {
    const auto document = read(R"(
text = "a\tb"
whole = -17
number = 6.25e3
truth = true
date = 1979-05-27 07:32:00Z
time = 07:32:00
list = [1, "two", [3]]
inline = { a = 1, b.c = 2 }
nan = nan
[table]
a = 1
)");
    ASSERT_TRUE(document) << to_text(document.error());
    EXPECT_EQ(*value_of(document, "text").text(), "a\tb");
    EXPECT_EQ(std::get<std::int64_t>(value_of(document, "whole").data), -17);
    EXPECT_EQ(std::get<double>(value_of(document, "number").data), 6250.0);
    EXPECT_TRUE(std::get<bool>(value_of(document, "truth").data));
    EXPECT_EQ(std::get<TomlDate>(value_of(document, "date").data).text, "1979-05-27 07:32:00Z");
    EXPECT_EQ(std::get<TomlDate>(value_of(document, "time").data).text, "07:32:00");
    EXPECT_EQ(value_of(document, "list").array()->size(), 3U);
    EXPECT_EQ(value_of(document, "inline").table()->keys(), (std::vector<std::string>{"a", "b"}));
    EXPECT_TRUE(std::isnan(std::get<double>(value_of(document, "nan").data)));
    EXPECT_EQ(value_of(document, "table").table()->find("b"), nullptr);

    const std::pair<std::string_view, std::string_view> type_names[] = {
        {"text", "a text"},         {"whole", "a whole number"}, {"number", "a number"},
        {"truth", "true or false"}, {"date", "a date or time"},  {"time", "a date or time"},
        {"list", "a list"},         {"inline", "a table"},       {"table", "a table"},
    };
    for (const auto& [key, name] : type_names) EXPECT_EQ(value_of(document, key).type_name(), name);
}

TEST(Toml, KeepsTheOrderOfTheFile) {
    const auto document = read("z = 1\na = 2\n[m]\ny = 1\nb = 2\n[c.x]\n[c.a]\n");
    ASSERT_TRUE(document);
    EXPECT_EQ(document->root.keys(), (std::vector<std::string>{"z", "a", "m", "c"}));
    EXPECT_EQ(value_of(document, "m").table()->keys(), (std::vector<std::string>{"y", "b"}));
    EXPECT_EQ(value_of(document, "c").table()->keys(), (std::vector<std::string>{"x", "a"}));
}

struct PlaceCase {
    std::string_view what;
    std::string text;
    std::string_view key;
    std::string_view key_written;
    std::string_view value_written;
};

TEST(Toml, KnowsWhereKeysAndValuesStand) {
    const PlaceCase cases[] = {
        {"text", "a = \"x\"", "a", "a", "\"x\""},
        {"behind letters of several bytes", "# µ→\nb = \"µ\"\na = \"Ω\" # µ", "a", "a", "\"Ω\""},
        {"byte order mark", "\uFEFFa = 'x'", "a", "a", "'x'"},
        {"quoted key", "\"a\" = 1", "a", "\"a\"", "1"},
        {"escapes", R"(a = "\u00B5\"" # x)", "a", "a", R"("\u00B5\"")"},
        {"quotes before the end", "a = '''x''''\n", "a", "a", "'''x''''"},
        {"several lines", "a = \"\"\"\nx\n\"\"\"\nb = 1", "a", "a", "\"\"\"\nx\n\"\"\""},
        {"number at the end", "a = -1.5e-3", "a", "a", "-1.5e-3"},
        {"number before CR LF", "a = 1_000\r\nb = 1", "a", "a", "1_000"},
        {"single digit", "a = 7 # seven", "a", "a", "7"},
        {"signed digit", "a = +7,", "a", "a", "+7"},
        {"true", "a = true\n", "a", "a", "true"},
        {"infinity", "a = -inf\n", "a", "a", "-inf"},
        {"date", "a = 1979-05-27 \n", "a", "a", "1979-05-27"},
        {"list", "a = [ 1, [ 2 ] ] #", "a", "a", "[ 1, [ 2 ] ]"},
        {"list of lines", "a = [\n 1,\n]\n", "a", "a", "[\n 1,\n]"},
        {"empty list", "a = []\n", "a", "a", "[]"},
        {"inline table", "a = { b = 1 } ", "a", "a", "{ b = 1 }"},
        {"list of inline tables", "a = [{ b = 1 }, { }] ", "a", "a", "[{ b = 1 }, { }]"},
        {"table", "[ a ]\nb = 1\n", "a", "a", "[ a ]"},
        {"table told of within another first", "[a.b]\n[a]\nc = 1\n", "a", "a", "[a]"},
        {"table implied by another", "[a.b]\nc = 1\n", "a", "a", "[a.b]"},
        {"table implied by a key", "a.b = 1\n", "a", "a", "a"},
        {"list of tables", "[[a]]\nb = 1\n[[a]]\nb = 2\n", "a", "a", "[[a]]"},
    };
    for (const PlaceCase& c : cases) {
        std::string text = c.text;
        if (text.ends_with(',')) text.pop_back();
        const auto document = read(text);
        ASSERT_TRUE(document) << c.what << "\n" << to_text(document.error());
        const TomlEntry* entry = document->root.find(c.key);
        ASSERT_NE(entry, nullptr) << c.what;
        EXPECT_EQ(written(entry->key_place), c.key_written) << c.what;
        EXPECT_EQ(written(entry->value.place), c.value_written) << c.what;
    }
}

TEST(Toml, KnowsWhereEachOfSeveralTablesStands) {
    const auto document = read("[[p]]\na = 1\n\n[[p]]\nb = 2\n");
    ASSERT_TRUE(document);
    const TomlArray& tables = *value_of(document, "p").array();
    ASSERT_EQ(tables.size(), 2U);
    EXPECT_EQ(tables[0].place.begin, 0U);
    EXPECT_EQ(tables[1].place.begin, 13U);
    EXPECT_EQ(written(tables[1].place), "[[p]]");
    EXPECT_EQ(written(tables[1].table()->entries.at(0).value.place), "2");
}

TEST(Toml, FindsPlacesWithinTexts) {
    struct Case {
        std::string_view what;
        std::string text;
        std::size_t from;
        std::size_t to;
        std::string_view expected;
    };
    const Case cases[] = {
        {"basic", R"(a = "330 V")", 4, 5, "V"},
        {"literal", "a = '330 V'", 0, 5, "330 V"},
        {"bytes, not characters", "a = \"µ Ω\"", 3, 5, "Ω"},
        {"clamped", "a = '330 V'", 4, 99, "V"},
        {"behind the end", "a = '330 V'", 99, 99, ""},
        {"empty text", "a = \"\"", 0, 0, ""},
        {"three quotes", "a = '''330 V'''", 4, 5, "V"},
        {"three quotes and a line end", "a = \"\"\"\r\n330 V\"\"\"", 4, 5, "V"},
        {"quote before the closing three", "a = '''V''''", 0, 2, "V'"},
        {"escapes: the whole", R"(a = "330 \u0056")", 4, 5, R"("330 \u0056")"},
        {"line ends made alike: the whole", "a = '''x\r\ny'''", 2, 3, "'''x\r\ny'''"},
        {"no text: the whole", "a = 330", 1, 2, "330"},
    };
    for (const Case& c : cases) {
        const auto document = read(c.text);
        ASSERT_TRUE(document) << c.what;
        EXPECT_EQ(written(value_of(document, "a").text_place(c.from, c.to)), c.expected) << c.what;
    }
}

TEST(Toml, StartIsTheFirstLine) {
    EXPECT_EQ(written(read("a = 1\nb = 2")->start()), "a = 1");
    EXPECT_EQ(written(read("\uFEFF# x\r\n")->start()), "# x");
    EXPECT_EQ(written(read("")->start()), "");
    EXPECT_TRUE(read("")->root.entries.empty());
}

struct BrokenCase {
    std::string_view what;
    std::string text;
    Cause cause;
    std::string_view opening;  // of the message as people see it
};

TEST(Toml, SaysWhereReadingStopped) {
    const BrokenCase cases[] = {
        {"behind letters of several bytes", "\"µ→\" = \"Ω\" x", Cause::not_toml,
         "x.toml:1:12: error: expected a comment or whitespace, saw 'x'"},
        {"on a line behind such letters", "# µµµ\n\"µ\" = ?", Cause::not_toml,
         "x.toml:2:7: error: could not determine value type"},
        {"byte order mark", "\uFEFFa = ?", Cause::not_toml, "x.toml:1:5: error: "},
        {"byte order mark in the middle", "a = 1\n\uFEFFb = 2", Cause::not_toml, "x.toml:2:1: "},
        {"quantity without quotes", "R1 = 330 Ω", Cause::not_toml,
         "x.toml:1:10: error: expected a comment or whitespace, saw 'Ω' (in a key-value pair)"},
        {"text not closed", "a = \"µ\nb = 1", Cause::not_toml,
         "x.toml:1:7: error: a text is not closed before its line ends [not-toml]"},
        {"end of file", "a = [1,", Cause::not_toml,
         "x.toml:1:8: error: the file ends within an array"},
        {"carriage return alone", "a = 1\rb = 2", Cause::not_toml, "x.toml:1:7: error: "},
        {"control character in a comment", "# a\x01", Cause::not_toml, "x.toml:1:4: error: "},
        {"zero byte", std::string("a = 1\n\0b", 8), Cause::not_toml, "x.toml:2:1: error: "},
        {"not UTF-8", "a = \"µ\xFF\"", Cause::invalid_utf8,
         "x.toml:1:7: error: byte 0xFF is not UTF-8 here [invalid-utf8]"},
        {"surrogate", "# \xED\xA0\x80", Cause::invalid_utf8, "x.toml:1:3: error: byte 0xED"},
        {"too long", std::string((1U << 20U) + 1, '\n'), Cause::oversized_file,
         "error: x.toml has 1048577 bytes, more than the 1048576 that are read"},
    };
    for (const BrokenCase& c : cases) {
        const auto document = read(c.text);
        ASSERT_FALSE(document) << c.what;
        ASSERT_EQ(document.error().size(), 1U) << c.what;
        EXPECT_EQ(document.error()[0].cause, c.cause) << c.what;
        const std::string text = to_text(document.error());
        EXPECT_TRUE(text.starts_with(c.opening)) << c.what << "\n" << text;
    }
    EXPECT_TRUE(read(std::string(1U << 20U, '\n')));
}

TEST(Toml, AdvisesQuotesForQuantities) {
    for (const char* text : {"a = 330 Ω", "a = 5V", "a = -10 °C", "a = high", "a = true blue"}) {
        const auto document = read(text);
        ASSERT_FALSE(document) << text;
        EXPECT_NE(document.error()[0].remedy.find("stand in quotes"), std::string::npos)
            << text << "\n"
            << to_text(document.error());
    }
}

TEST(Toml, ReadsLargeFilesQuickly) {
    std::string one_line = "a = [";
    while (one_line.size() < 1'000'000) one_line += "'µ',";
    const auto document = read(one_line + "]");
    ASSERT_TRUE(document);
    EXPECT_EQ(written(value_of(document, "a").array()->back().place), "'µ'");
}

}  // namespace
}  // namespace gapwright
