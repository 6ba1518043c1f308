// A folder with a link in it for tests of bench records, and records to put there.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <limits>

#include "bench/sessions/bench_record.hpp"
#include "source/toml_document.hpp"

namespace gapwright::testing_support {

namespace fs = std::filesystem;

// A folder of its own with a link in it, removed behind the test.
class RecordFolder : public testing::Test {
  protected:
    void SetUp() override {
        std::string pattern = (fs::temp_directory_path() / "records-XXXXXX").string();
        ASSERT_NE(mkdtemp(pattern.data()), nullptr);
        home_ = pattern;
        link_ = home_ / "bell-hammer.link.toml";
        std::ofstream(link_) << "title = \"Bell hammer\"\n";
    }
    void TearDown() override { fs::remove_all(home_); }

    fs::path folder() const { return home_ / "bell-hammer.bench"; }

    // The names of records, sorted; what a crash left behind is none.
    std::vector<std::string> records() const {
        std::vector<std::string> names;
        for (const auto& entry : fs::directory_iterator(folder())) {
            const std::string name = entry.path().filename().string();
            if (!name.starts_with('.')) names.push_back(name);
        }
        std::ranges::sort(names);
        return names;
    }

    fs::path home_;
    fs::path link_;
};

inline BenchRecord plain_record() {
    return {.title = "Bell hammer",
            .link = "bell-hammer.link.toml",
            .who = "the night shift",
            .when = "2026-11-26T18:05:00+01:00",
            .meter = "three and a half digits",
            .readings = {{.state = "on",
                          .measure = "voltage at coil",
                          .value = 4.32,
                          .dimension = Dimension::voltage,
                          .judgement = "too low"},
                         {.state = "unpowered",
                          .measure = "isolation",
                          .value = std::numeric_limits<double>::infinity(),
                          .dimension = Dimension::resistance,
                          .judgement = "as expected"}},
            .verdict = "R1 is probably open",
            .suspects = {{.text = "R1 open", .probability = 0.875},
                         {.text = "U1 reversed", .probability = 1e-9},
                         {.text = "none", .probability = 1}},
            .built = {"R1 = 330 Ω", "U1 = four-pin-coupler-b"}};
}

// A long record, so that it takes several writes' worth of time to be put down.
inline BenchRecord long_record(const std::string& who) {
    BenchRecord record = plain_record();
    record.who = who;
    record.readings.resize(400, record.readings[0]);
    return record;
}

inline std::string content(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

inline TomlTable parsed(const std::string& text) {
    auto document = read_toml(std::make_shared<const SourceText>("record.toml", text));
    if (document) return std::move(document->root);
    ADD_FAILURE() << to_text(document.error());
    return {};
}

inline std::string text_of(const TomlTable& table, std::string_view key) {
    const auto* entry = table.find(key);
    return entry && entry->value.text() ? *entry->value.text() : "no text";
}

}  // namespace gapwright::testing_support
