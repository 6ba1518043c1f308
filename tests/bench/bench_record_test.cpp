// What records of the bench say, how they are numbered and where they stand.
#include "bench/sessions/bench_record.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>

#include "support/record_folder.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;
using testing_support::content;
using testing_support::parsed;
using testing_support::plain_record;
using testing_support::text_of;
using BenchRecords = testing_support::RecordFolder;

TEST_F(BenchRecords, SayWhatWasFound) {
    const BenchRecord record = plain_record();
    const auto path = append_record(link_, record);
    ASSERT_TRUE(path) << path.error();
    EXPECT_EQ(*path, (folder() / "0001-2026-11-26.toml").string());
    const TomlTable root = parsed(content(*path));
    EXPECT_EQ(text_of(root, "title"), record.title);
    EXPECT_EQ(text_of(root, "link"), record.link);
    EXPECT_EQ(text_of(root, "who"), record.who);
    EXPECT_EQ(text_of(root, "when"), record.when);
    EXPECT_EQ(text_of(root, "meter"), record.meter);
    EXPECT_EQ(text_of(root, "verdict"), record.verdict);
    const TomlArray& built = *root.find("built")->value.array();
    ASSERT_EQ(built.size(), 2U);
    EXPECT_EQ(*built[1].text(), record.built[1]);
    const TomlArray& readings = *root.find("reading")->value.array();
    ASSERT_EQ(readings.size(), 2U);
    EXPECT_EQ(text_of(*readings[0].table(), "state"), "on");
    EXPECT_EQ(text_of(*readings[0].table(), "measure"), "voltage at coil");
    EXPECT_EQ(text_of(*readings[0].table(), "value"), "4.32 V");
    EXPECT_EQ(text_of(*readings[0].table(), "judgement"), "too low");
    EXPECT_EQ(text_of(*readings[1].table(), "value"), "over range");
    const TomlArray& suspects = *root.find("suspect")->value.array();
    ASSERT_EQ(suspects.size(), 3U);
    for (std::size_t k = 0; k < 3; ++k) {
        const TomlTable& suspect = *suspects[k].table();
        EXPECT_EQ(text_of(suspect, "text"), record.suspects[k].text);
        EXPECT_EQ(std::get<double>(suspect.find("probability")->value.data),
                  record.suspects[k].probability);
    }
}

TEST_F(BenchRecords, KeepEveryCharacter) {
    std::string all;
    for (char c = 1; c < 0x7F; ++c) all += c;
    all += "\x7F\u0085\u202E\u2066 Ω \"\"\" \\u0041 \r\n\t";
    all += '\0';
    BenchRecord record = plain_record();
    record.title = record.who = record.verdict = all;
    record.readings[0].measure = all;
    record.suspects[0].text = all;
    record.built = {all, "", "]"};
    const std::string toml = record_toml(record);
    const TomlTable root = parsed(toml);
    EXPECT_EQ(text_of(root, "title"), all);
    EXPECT_EQ(text_of(root, "who"), all);
    EXPECT_EQ(text_of(root, "verdict"), all);
    EXPECT_EQ(text_of(*(*root.find("reading")->value.array())[0].table(), "measure"), all);
    EXPECT_EQ(text_of(*(*root.find("suspect")->value.array())[0].table(), "text"), all);
    EXPECT_EQ(*(*root.find("built")->value.array())[0].text(), all);
    EXPECT_EQ(root.find("built")->value.array()->size(), 3U);
    EXPECT_TRUE(std::ranges::all_of(toml, [](char c) { return c == '\n' || c < 0 || c >= ' '; }));
    record.title = "a\xFF\xC3(";
    EXPECT_EQ(text_of(parsed(record_toml(record)), "title"), "a\uFFFD\uFFFD(");
}

TEST_F(BenchRecords, ValuesParseBack) {
    BenchRecord record = plain_record();
    for (const double value : {1.0 / 3, -2.0 / 7e6, 12.3456789, 0.0}) {
        record.readings[0].value = value;
        const TomlTable root = parsed(record_toml(record));
        const auto back =
            parse_quantity(text_of(*(*root.find("reading")->value.array())[0].table(), "value"),
                           Dimension::voltage);
        ASSERT_TRUE(back);
        EXPECT_EQ(*back, value);
    }
}

TEST_F(BenchRecords, AreNumberedBehindTheHighest) {
    fs::create_directory(folder());
    for (const char* name : {"0041-2025-01-01.toml", "0099-notes.txt", ".new-1-0", "notes.toml",
                             "77.toml", "0050", "-3-a.toml"}) {
        std::ofstream(folder() / name) << "kept";
    }
    const auto path = append_record(link_, plain_record());
    ASSERT_TRUE(path) << path.error();
    EXPECT_EQ(fs::path(*path).filename(), "0042-2026-11-26.toml");
    EXPECT_EQ(content(folder() / "0041-2025-01-01.toml"), "kept");
    BenchRecord later = plain_record();
    later.when = "2027-01-02T00:00:00Z";
    EXPECT_EQ(fs::path(append_record(link_, later).value()).filename(), "0043-2027-01-02.toml");
    std::ofstream(folder() / "9999-2027-01-03.toml");
    EXPECT_EQ(fs::path(append_record(link_, later).value()).filename(), "10000-2027-01-02.toml");
    EXPECT_EQ(fs::path(append_record(link_, later).value()).filename(), "10001-2027-01-02.toml");
}

TEST_F(BenchRecords, StandBesideTheirLink) {
    EXPECT_EQ(record_folder("a/b.link.toml"), "a/b.bench");
    EXPECT_EQ(record_folder("b.toml"), "b.bench");
    EXPECT_EQ(record_folder("b.c"), "b.c.bench");
}

TEST_F(BenchRecords, NeedADate) {
    for (const char* when :
         {"", "yesterday", "2026-11-2", "26.11.2026", "../../../x", "2026-1/-26"}) {
        BenchRecord record = plain_record();
        record.when = when;
        const auto path = append_record(link_, record);
        ASSERT_FALSE(path) << when;
        EXPECT_NE(path.error().find("ISO 8601"), std::string::npos);
    }
    EXPECT_FALSE(fs::exists(folder()));
}

}  // namespace
}  // namespace gapwright
