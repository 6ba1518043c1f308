// The tables of keys in docs/files.md are those of the program. Where they are not, this writes
// them anew:
//   GAPWRIGHT_WRITE_DOCS=1 ./link_test --gtest_filter=FileDocs.*
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "link/file_table.hpp"

namespace gapwright {
namespace {

using What = Takes::What;

constexpr const char* document = PROJECT_FOLDER "/docs/files.md";

// What a key is called where it stands: `[signal]` heads a table, `[[promise]]` one of several.
std::string spoken_name(const FileKey& key) {
    const What what = key.takes.what;
    if (what == What::tables) return fmt::format("`[[{}]]`", key.name);
    const bool table = what == What::table || what == What::parts || what == What::states;
    return table ? fmt::format("`[{}]`", key.name) : fmt::format("`{}`", key.name);
}

std::string shown_value(const FileKey& key) {
    if (key.takes.what == What::choice) {
        auto words = split_words(key.takes.words);
        for (auto& word : words) word = "`\"" + word + "\"`";
        return fmt::format("{}", fmt::join(words, ", "));
    }
    const std::string example = toml_example(key);
    if (key.takes.what == What::whole) {
        return fmt::format("`{}`, of {} … {}", example, key.takes.least, key.takes.most);
    }
    return example.empty() ? "" : "`" + example + "`";
}

std::string markdown(const FileTable& table) {
    std::string text =
        "| key | for example | where nothing is stated | meaning |\n"
        "| --- | --- | --- | --- |\n";
    for (const FileKey& key : table.keys) {
        text += fmt::format("| {} | {} | {} | {} |\n", spoken_name(key), shown_value(key),
                            key.needed ? "needed" : key.standard, key.meaning);
    }
    return text;
}

std::string called(const FileTable& table) {
    if (table.name.empty()) return "the file";
    if (table.name == name_of(RootKey::promise)) return "[[promise]]";
    return std::string(table.title);
}

std::string text_of_document() {
    std::ifstream file(document);
    return {std::istreambuf_iterator<char>(file), {}};
}

const std::vector<const FileTable*>& tables() {
    static const std::vector<const FileTable*> all = {
        &table_of(RootKey{}),       &table_of(SurroundingsKey{}), &table_of(SideKey{}),
        &table_of(SignalKey{}),     &table_of(DisturbanceKey{}),  &table_of(AnalogueKey{}),
        &table_of(InsulationKey{}), &table_of(MeterKey{}),        &table_of(PromiseKey{}),
        &table_of(NeedKey{}),       &table_of(DriveKey{}),        &table_of(LoadKey{}),
        &table_of(ChooseKey{})};
    return all;
}

TEST(FileDocs, ShowTheKeysOfTheProgram) {
    std::string text = text_of_document();
    for (const FileTable* table : tables()) {
        const std::string head = fmt::format(
            "<!-- keys of {}: written by tests/link/file_docs_test.cpp -->\n", called(*table));
        const auto begin = text.find(head);
        ASSERT_NE(begin, std::string::npos) << head;
        const auto from = begin + head.size();
        const auto to = text.find("<!-- end of keys -->", from);
        ASSERT_NE(to, std::string::npos) << head;
        const std::string wanted = markdown(*table);
        EXPECT_EQ(text.substr(from, to - from), wanted);
        text.replace(from, to - from, wanted);
    }
    if (std::getenv("GAPWRIGHT_WRITE_DOCS")) std::ofstream(document) << text;
}

}  // namespace
}  // namespace gapwright
