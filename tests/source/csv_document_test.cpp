#include "source/csv_document.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

Expected<CsvDocument> read(std::string text) {
    return read_csv(std::make_shared<const SourceText>("drawer.csv", std::move(text)));
}

std::string_view written(const Place& place) {
    return place.text->text().substr(place.begin, place.end - place.begin);
}

using Row = std::vector<std::string>;

Row texts(const CsvRecord& record) {
    Row row;
    for (const CsvField& field : record.fields) row.push_back(field.text);
    return row;
}

struct ReadCase {
    std::string_view what;
    std::string text;
    Row header;
    std::vector<Row> rows;
    std::size_t skipped;
};

TEST(Csv, ReadsRecords) {
    const ReadCase cases[] = {
        {"header alone", "a,b", {"a", "b"}, {}, 0},
        {"rows", "a,b\n1,2\n3,4\n", {"a", "b"}, {{"1", "2"}, {"3", "4"}}, 0},
        {"CR LF", "a,b\r\n1,2\r\n", {"a", "b"}, {{"1", "2"}}, 0},
        {"CR at the very end", "a,b\r\n1,2\r", {"a", "b"}, {{"1", "2"}}, 0},
        {"byte order mark", "\uFEFFa,b\n1,2", {"a", "b"}, {{"1", "2"}}, 0},
        {"empty fields", "a,b\n,\n", {"a", "b"}, {{"", ""}}, 0},
        {"blank lines", "\n\na,b\n\r\n1,2\n\n", {"a", "b"}, {{"1", "2"}}, 0},
        {"an empty quoted field is no blank line", "a\n\"\"\n", {"a"}, {{""}}, 0},
        {"quotes", "a,b\n\"1,5\",\"say \"\"x\"\"\"\n", {"a", "b"}, {{"1,5", "say \"x\""}}, 0},
        {"line end in quotes", "a,b\n\"x\r\ny\",2\n", {"a", "b"}, {{"x\r\ny", "2"}}, 0},
        {"spaces belong to the field", "a,b\n 1 , 2\n", {"a", "b"}, {{" 1 ", " 2"}}, 0},
        {"too few fields", "a,b\n1\n3,4\n", {"a", "b"}, {{"3", "4"}}, 1},
        {"too many fields", "a,b\n1,2,3\n3,4\n", {"a", "b"}, {{"3", "4"}}, 1},
        {"stray quote", "a,b\n1,5\" disc\n3,4\n", {"a", "b"}, {{"3", "4"}}, 1},
        {"text after the closing quote", "a,b\n\"1\"x,2\n3,4\n", {"a", "b"}, {{"3", "4"}}, 1},
        {"quote never closed", "a,b\n1,\"2\n3,4\n5,6\n", {"a", "b"}, {{"3", "4"}, {"5", "6"}}, 1},
        {"two lines with a quote too few",
         "a,b\n1,\"2\n3,4\n5,\"6\n7,8\n",
         {"a", "b"},
         {{"3", "4"}, {"7", "8"}},
         2},
        {"CR alone", "a,b\n1\r2,3\n3,4\n", {"a", "b"}, {{"3", "4"}}, 1},
    };
    for (const ReadCase& c : cases) {
        const auto document = read(c.text);
        ASSERT_TRUE(document) << c.what;
        EXPECT_EQ(texts(document->header), c.header) << c.what;
        std::vector<Row> rows;
        for (const CsvRecord& record : document->records) rows.push_back(texts(record));
        EXPECT_EQ(rows, c.rows) << c.what;
        EXPECT_EQ(document->skipped.size(), c.skipped) << c.what;
        for (const Diagnostic& d : document->skipped) EXPECT_EQ(d.cause, Cause::not_csv) << c.what;
    }
}

TEST(Csv, ReadsWhatSpreadsheetsWrite) {
    const struct {
        std::string_view what;
        std::string text;
        char separator;
        Row header;
        std::vector<Row> rows;
    } cases[] = {
        {"commas", "a,b\n1,2\n", ',', {"a", "b"}, {{"1", "2"}}},
        {"semicolons", "a;b\r\n4,32 V;2\r\n", ';', {"a", "b"}, {{"4,32 V", "2"}}},
        {"tabs", "a\tb\n 4,32 V\t\n", '\t', {"a", "b"}, {{"4,32 V", ""}}},
        {"mark and blank line", "\uFEFF\r\na;b\n1;2", ';', {"a", "b"}, {{"1", "2"}}},
        {"commas in quotes", "\"a,x,y\";b\n1;2", ';', {"a,x,y", "b"}, {{"1", "2"}}},
        {"a line of spaces", "a,b\n  \n1,2\n", ',', {"a", "b"}, {{"1", "2"}}},
        {"one column", "a\n1\n", ',', {"a"}, {{"1"}}},
        {"spaces", " a , b\t\n 1 2 ,  \n", ',', {"a", "b"}, {{"1 2", ""}}},
        {"quotes among spaces", "a,b\n \" 1,5 \" , 2\n", ',', {"a", "b"}, {{" 1,5 ", "2"}}},
    };
    for (const auto& c : cases) {
        const auto text = std::make_shared<const SourceText>("readings.csv", c.text);
        EXPECT_EQ(csv_separator(*text), c.separator) << c.what;
        const auto document =
            read_csv(text, {.separator = csv_separator(*text), .spaces_count = false});
        ASSERT_TRUE(document) << c.what;
        EXPECT_EQ(texts(document->header), c.header) << c.what;
        std::vector<Row> rows;
        for (const CsvRecord& record : document->records) rows.push_back(texts(record));
        EXPECT_EQ(rows, c.rows) << c.what;
        EXPECT_TRUE(document->skipped.empty()) << c.what;
    }
    EXPECT_EQ(csv_separator(SourceText("empty.csv", "")), ',');
}

TEST(Csv, LeavesSpacesRoundAFieldOutOfItsPlace) {
    const auto text = std::make_shared<const SourceText>("readings.csv", "a;b\n 1 ; \"2\" \n");
    const auto document = read_csv(text, {.separator = ';', .spaces_count = false});
    ASSERT_TRUE(document);
    EXPECT_EQ(written(document->records.at(0).fields[0].place), "1");
    EXPECT_EQ(written(document->records.at(0).fields[1].place), "\"2\"");
}

TEST(Csv, NamesTheSeparatorOfAFileWithTooManyFields) {
    const auto text = std::make_shared<const SourceText>("readings.csv", "a;b\n1;2;3\n");
    const auto document = read_csv(text, {.separator = ';'});
    ASSERT_TRUE(document);
    ASSERT_EQ(document->skipped.size(), 1U);
    EXPECT_EQ(document->skipped[0].remedy,
              "keep the semicolon of an empty field; quote a field that holds a semicolon");
}

TEST(Csv, KnowsThePlaceOfFieldsAndRecords) {
    const auto document = read("kind,value\nresistor,\"4k7\"\n");
    ASSERT_TRUE(document);
    const CsvRecord& record = document->records.at(0);
    EXPECT_EQ(written(record.place), "resistor,\"4k7\"");
    EXPECT_EQ(written(record.fields[0].place), "resistor");
    EXPECT_EQ(written(record.fields[1].place), "\"4k7\"");
    EXPECT_EQ(written(document->header.fields[1].place), "value");
}

TEST(Csv, SaysWhatIsWrongWithASkippedRow) {
    const auto document = read("a,b\n1,2,3\nµ,x\"\n");
    ASSERT_TRUE(document);
    EXPECT_EQ(to_text(document->skipped),
              "drawer.csv:2:1: error: this row has 3 fields, the header has 2 [not-csv]\n"
              "   2 | 1,2,3\n"
              "     | ^~~~~\n"
              "     = keep the comma of an empty field; quote a field that holds a comma\n"
              "drawer.csv:3:4: error: a quote stands inside a field that is not quoted [not-csv]\n"
              "   3 | µ,x\"\n"
              "     |    ^\n"
              "     = quote the whole field and double each quote inside it\n");
}

TEST(Csv, RefusesWhatIsNoTableAtAll) {
    struct Case {
        std::string_view what;
        std::string text;
        Cause cause;
    };
    const Case cases[] = {
        {"empty", "", Cause::not_csv},
        {"byte order mark alone", "\uFEFF", Cause::not_csv},
        {"blank lines alone", "\n\r\n\n", Cause::not_csv},
        {"broken header", "a,b\"\n1,2\n", Cause::not_csv},
        {"not UTF-8", "a,b\n1,\xFF\n", Cause::invalid_utf8},
        {"too long", std::string((1U << 20U) + 1, 'a'), Cause::oversized_file},
    };
    for (const Case& c : cases) {
        const auto document = read(c.text);
        ASSERT_FALSE(document) << c.what;
        ASSERT_EQ(document.error().size(), 1U) << c.what;
        EXPECT_EQ(document.error()[0].cause, c.cause) << c.what;
    }
}

TEST(Csv, ReadsAFileOfQuotesQuickly) {
    // Each line opens a quote that the next one closes too late.
    std::string text = "a,b\n";
    while (text.size() < (1U << 20U) - 10) text += "1,\"a\n";
    const auto document = read(text);
    ASSERT_TRUE(document);
    EXPECT_GT(document->skipped.size(), 100'000U);
}

}  // namespace
}  // namespace gapwright
