// The schema for editors against the files that the program reads.
#include "report/json/file_schema.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "link/file_table.hpp"
#include "schema_check.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using testing_support::schema_fault;

const json& schema() {
    static const json parsed = json::parse(file_schema());
    return parsed;
}

json as_json(const TomlTable& table);

json as_json(const TomlValue& value) {
    if (const auto* text = value.text()) return *text;
    if (const auto* table = value.table()) return as_json(*table);
    if (const auto* list = value.array()) {
        json items = json::array();
        for (const auto& item : *list) items.push_back(as_json(item));
        return items;
    }
    if (const auto* whole = std::get_if<std::int64_t>(&value.data)) return *whole;
    if (const auto* number = std::get_if<double>(&value.data)) return *number;
    if (const auto* truth = std::get_if<bool>(&value.data)) return *truth;
    return nullptr;
}

json as_json(const TomlTable& table) {
    json result = json::object();
    for (const auto& entry : table.entries) result[entry.key] = as_json(entry.value);
    return result;
}

json parsed(const std::string& text) {
    const auto document = read_toml(std::make_shared<const SourceText>("text", text));
    EXPECT_TRUE(document) << text;
    return document ? as_json(document->root) : json();
}

std::string text_of(const fs::path& path) {
    const auto text = read_file(path.string());
    EXPECT_TRUE(text) << path;
    return text ? std::string((*text)->text()) : "";
}

std::vector<fs::path> shipped_files() {
    std::vector<fs::path> files;
    for (const auto& entry : fs::recursive_directory_iterator(PROJECT_FOLDER "/examples")) {
        if (entry.path().string().ends_with(".link.toml")) files.push_back(entry.path());
    }
    return files;
}

// The places of all keys that the program knows: not the names of parts and states.
void find_keys(const json& value, const json::json_pointer& at,
               std::vector<json::json_pointer>& keys) {
    const std::string here = at.to_string();
    const bool names = here == "/parts" || here.starts_with("/states") || here.ends_with("/duty");
    if (!value.is_structured()) return;
    for (const auto& [key, inner] : value.items()) {
        const auto place = value.is_array() ? at / std::stoul(key) : at / key;
        if (value.is_object() && !names) keys.push_back(place);
        find_keys(inner, place, keys);
    }
}

json misspelt(json file, const json::json_pointer& place) {
    json& table = file[place.parent_pointer()];
    table[place.back() + "x"] = table[place.back()];
    table.erase(place.back());
    return file;
}

TEST(FileSchema, TakesEveryShippedFile) {
    const auto files = shipped_files();
    EXPECT_GE(files.size(), 15U);
    for (const auto& file : files) {
        EXPECT_EQ(schema_fault(schema(), parsed(text_of(file))), "") << file;
    }
}

TEST(FileSchema, TakesNoMisspeltKeyAnywhere) {
    std::size_t tried = 0;
    for (const auto& file : shipped_files()) {
        const json whole = parsed(text_of(file));
        std::vector<json::json_pointer> keys;
        find_keys(whole, json::json_pointer(), keys);
        for (const auto& key : keys) {
            EXPECT_NE(schema_fault(schema(), misspelt(whole, key)), "") << file << key.to_string();
            ++tried;
        }
    }
    EXPECT_GE(tried, 500U);
}

// The documents' stretches of files are not whole files.
TEST(FileSchema, TakesWhatTheDocumentsShow) {
    json part = schema();
    part.erase("anyOf");
    std::size_t shown = 0;
    for (const char* name : {"/docs/files.md", "/docs/method.md", "/README.md"}) {
        std::istringstream lines(text_of(std::string(PROJECT_FOLDER) + name));
        std::string block;
        bool inside = false;
        for (std::string line; std::getline(lines, line);) {
            if (inside && line.starts_with("```")) {
                EXPECT_EQ(schema_fault(part, parsed(block)), "") << name << "\n" << block;
                ++shown;
            }
            if (line.starts_with("```")) {
                inside = line == "```toml" && !inside;
                block.clear();
            } else {
                block += line + "\n";
            }
        }
    }
    EXPECT_GE(shown, 4U);
}

TEST(FileSchema, KnowsWordsFormsAndLimits) {
    const std::string link = text_of(PROJECT_FOLDER "/examples/first.link.toml");
    const auto fault = [&](const std::string& more) {
        return schema_fault(schema(), parsed(link + more));
    };
    EXPECT_EQ(fault("[insulation]\ngrade = \"basic\"\npollution_degree = 3\n"), "");
    EXPECT_NE(fault("[insulation]\ngrade = \"basics\"\n"), "");
    EXPECT_NE(fault("[insulation]\npollution_degree = 4\n"), "");
    EXPECT_NE(fault("[insulation]\npollution_degree = \"2\"\n"), "");
    EXPECT_EQ(fault("[signal]\nrate = \"1 kBd\"\nstates = [\"a\", \"b\"]\n"), "");
    EXPECT_NE(fault("[signal]\nrate = \"1 kBd\"\nstates = [\"a\"]\n"), "");
    EXPECT_NE(fault("[analogue]\ndrive = \"supply\"\n"), "");
    EXPECT_EQ(fault("[choose]\nseries = \"E96\"\ntolerance = 0.01\n"), "");
    EXPECT_NE(fault("[choose]\nseries = \"E95\"\n"), "");
    EXPECT_NE(fault("[choose]\npower = 1\n"), "");
}

// What completes a part: the keys of its kind, flat and in groups, and of no other.
TEST(FileSchema, KnowsTheKeysOfAPartsKind) {
    const auto fault = [&](const std::string& part) {
        return schema_fault(schema(),
                            parsed("[input]\n[output]\n[parts]\nX1 = { " + part + " }\n"));
    };
    EXPECT_EQ(fault(R"(kind = "resistor", value = "1 kΩ", limits = { power = "1 W" })"), "");
    EXPECT_NE(fault(R"(kind = "resistor", value = "1 kΩ", gain = 200)"), "");
    EXPECT_NE(fault(R"(kind = "resistor", limits = { gain = 200 })"), "");
    EXPECT_EQ(fault(R"(kind = "npn transistor", gain = 200)"), "");
    EXPECT_NE(fault(R"(kind = "switch")"), "");
    EXPECT_NE(fault(R"(value = "1 kΩ")"), "");
    EXPECT_EQ(fault(R"(card = "red-led", forward = "2 V at 5 mA")"), "");
    EXPECT_NE(fault(R"(card = "red-led", foward = "2 V at 5 mA")"), "");
    EXPECT_EQ(
        fault(
            R"(kind = "pair", emitter = "infrared-led", receiver = { kind = "phototransistor" })"),
        "");
    EXPECT_NE(fault(R"(kind = "pair", emitter = { kind = "leds" })"), "");
}

TEST(FileSchema, KnowsWhatANeedMayBe) {
    const auto fault = [&](const std::string& need) {
        return schema_fault(schema(), parsed("[need]\n" + need));
    };
    EXPECT_EQ(fault("drive = { kind = \"contact\", input_type = 3 }\n"
                    "load = { kind = \"indicator\", card = \"red-led\", current = \"5 mA\" }\n"),
              "");
    EXPECT_NE(fault("drive = { kind = \"contact\" }\n"), "");  // no load
    EXPECT_NE(fault("drive = { kind = \"resistor\" }\nload = { card = \"relay-coil-24v\" }\n"), "");
    EXPECT_NE(fault("drive = { kind = \"contact\", pull_in = \"1 V\" }\n"
                    "load = { card = \"relay-coil-24v\" }\n"),
              "");
}

TEST(FileSchema, SaysWhatEveryKeyOfTheFileMeans) {
    const auto check = [](const json& properties, const FileTable& table) {
        for (const FileKey& key : table.keys) {
            const std::string name(key.name);
            ASSERT_TRUE(properties.contains(name)) << name;
            EXPECT_NE(properties[name].value("description", ""), "") << name;
        }
    };
    check(schema()["properties"], table_of(RootKey{}));
    for (const FileKey& key : table_of(RootKey{}).keys) {
        const json& inner = schema()["properties"][std::string(key.name)];
        if (key.takes.what == Takes::What::table) {
            check(inner["properties"], *table_named(key.name));
        }
    }
}

}  // namespace
}  // namespace gapwright
