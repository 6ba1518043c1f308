// The TOML compliance suite (tests/data/README.md).
#include <gtest/gtest.h>

#include <cctype>
#include <charconv>
#include <fstream>

#include "source/display.hpp"
#include "source/terminal_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

const std::string suite = PROJECT_FOLDER "/tests/data/toml-test";

// The suite's files of TOML 1.0 whose names start like that.
std::vector<std::string> files(std::string_view folder) {
    std::vector<std::string> names;
    std::ifstream list(suite + "/files-toml-1.0.0");
    for (std::string name; std::getline(list, name);) {
        if (name.starts_with(folder) && name.ends_with(".toml")) names.push_back(name);
    }
    return names;
}

Expected<TomlDocument> read(const std::string& name) {
    const auto text = read_file(suite + "/" + name);
    if (!text) return std::unexpected(text.error());
    return read_toml(*text);
}

TEST(TomlSuite, InvalidFilesGetAMessageWithLineColumnAndCaret) {
    const auto names = files("invalid/");
    EXPECT_GT(names.size(), 400U);
    for (const std::string& name : names) {
        const auto document = read(name);
        ASSERT_FALSE(document) << name << " was read";
        for (const Diagnostic& d : document.error()) {
            EXPECT_TRUE(d.cause == Cause::not_toml || d.cause == Cause::invalid_utf8) << name;
            ASSERT_TRUE(d.place.text) << name;
            EXPECT_LE(d.place.end, d.place.text->text().size()) << name;
            const auto [line, column] = d.place.text->line_column(d.place.begin);
            const std::string text = to_text(d);
            const std::string place = ":" + std::to_string(line) + ":" + std::to_string(column);
            EXPECT_TRUE(text.starts_with(suite + "/" + name + place + ": error: ")) << text;
            // The caret stands under that very column, as wide as what stands before it is shown;
            // no line of the suite is so long as to be cut.
            const std::string gutter = std::to_string(line) + " | ";
            const std::size_t margin = 3 + gutter.size();
            const std::string_view before = d.place.text->line(line);
            const std::size_t start = d.place.text->offset({.line = line, .column = 1});
            const std::size_t width =
                shown_width(printable(before.substr(0, d.place.begin - start)));
            EXPECT_GE(width, column - 1) << text;
            const std::string caret = "| " + std::string(width, ' ') + "^";
            EXPECT_NE(text.find("\n" + std::string(margin - 2, ' ') + caret), std::string::npos)
                << text;
        }
    }
}

// What must be true of the place of every value: it holds what was read, and nothing else.
class PlaceCheck {
  public:
    PlaceCheck(const std::string& name, std::string_view text) : name_(name), text_(text) {}

    void table(const TomlTable& table) {
        std::size_t last = 0;
        for (const TomlEntry& entry : table.entries) {
            EXPECT_LE(last, entry.key_place.begin) << name_;
            last = entry.key_place.begin;
            key(entry);
            value(entry.value);
        }
    }
    std::size_t values() const { return values_; }

  private:
    std::string_view written(const Place& place) const {
        EXPECT_LE(place.begin, place.end) << name_;
        EXPECT_LE(place.end, text_.size()) << name_;
        return text_.substr(place.begin, place.end - place.begin);
    }

    void key(const TomlEntry& entry) const {
        const std::string_view key = written(entry.key_place);
        ASSERT_FALSE(key.empty()) << name_;
        if (key.front() == '"' || key.front() == '\'') {
            EXPECT_GE(key.size(), 2U) << name_;
            EXPECT_EQ(key.back(), key.front()) << name_ << ": " << key;
        } else {
            EXPECT_EQ(key, entry.key) << name_;
        }
    }

    void value(const TomlValue& value) {
        ++values_;
        const std::string_view text = written(value.place);
        ASSERT_FALSE(text.empty()) << name_;
        EXPECT_FALSE(std::isspace(static_cast<unsigned char>(text.back())))
            << name_ << ": " << text;
        if (value.text() != nullptr) {
            EXPECT_TRUE(text.front() == '"' || text.front() == '\'') << name_ << ": " << text;
            EXPECT_EQ(text.back(), text.front()) << name_ << ": " << text;
            EXPECT_EQ(reread(text), *value.text()) << name_ << ": " << text;
        } else if (const TomlTable* inner = value.table()) {
            const bool inline_table = text.front() == '{' && text.back() == '}';
            const bool header = text.front() == '[' && text.back() == ']';
            const bool part_of_key = !inline_table && !header;
            EXPECT_TRUE(!part_of_key || text.find_first_of("\n=") == std::string_view::npos)
                << name_ << ": " << text;
            table(*inner);
        } else if (const TomlArray* items = value.array()) {
            EXPECT_EQ(text.front(), '[') << name_ << ": " << text;
            EXPECT_EQ(text.back(), ']') << name_ << ": " << text;
            for (const TomlValue& item : *items) this->value(item);
        } else {
            EXPECT_EQ(text.find_first_of(",[]{}#\n"), std::string_view::npos) << name_ << text;
        }
    }

    // The content of a text's place alone.
    static std::string reread(std::string_view text) {
        const auto document =
            read_toml(std::make_shared<const SourceText>("x", "a = " + std::string(text) + "\n"));
        if (!document) return to_text(document.error());
        const std::string* content = document->root.entries.at(0).value.text();
        return content == nullptr ? "no text" : *content;
    }

    const std::string& name_;
    std::string_view text_;
    std::size_t values_ = 0;
};

TEST(TomlSuite, ValidFilesAreReadWithThePlacesOfTheirValues) {
    const auto names = files("valid/");
    EXPECT_GT(names.size(), 200U);
    std::size_t values = 0;
    for (const std::string& name : names) {
        const auto document = read(name);
        ASSERT_TRUE(document) << name << "\n" << to_text(document.error());
        PlaceCheck check(name, document->text->text());
        check.table(document->root);
        values += check.values();
    }
    EXPECT_GT(values, 1000U);
}

}  // namespace
}  // namespace gapwright
