// docs/dependencies.md against the includes: a library is used where its row says, and nowhere
// else.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

namespace {

namespace fs = std::filesystem;
const fs::path project = PROJECT_FOLDER;

// Headers of the operating system, which are no dependency.
constexpr std::array system_headers = {
    "arpa/", "dirent.h", "fcntl.h", "linux/",  "netdb.h",  "netinet/", "poll.h",    "pthread.h",
    "pty.h", "signal.h", "spawn.h", "stdio.h", "stdlib.h", "sys/",     "termios.h", "unistd.h"};

struct Row {
    std::string library;
    std::vector<std::string> headers;  // how their names begin
    std::vector<std::string> places;   // files and folders, from the project's folder
    bool everywhere = false;
};

std::string text_of(const fs::path& path) {
    std::ifstream stream(path);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

std::vector<std::string> in_code(const std::string& cell) {
    std::vector<std::string> result;
    const std::regex code("`([^`]+)`");
    for (std::sregex_iterator it(cell.begin(), cell.end(), code), end; it != end; ++it) {
        result.push_back((*it)[1]);
    }
    return result;
}

std::vector<Row> rows() {
    std::vector<Row> result;
    std::istringstream document(text_of(project / "docs/dependencies.md"));
    for (std::string line; std::getline(document, line);) {
        if (!line.starts_with("| ") || line.starts_with("| library") || line.starts_with("| ---")) {
            continue;
        }
        std::vector<std::string> cells;
        std::istringstream parts(line.substr(1));
        for (std::string cell; std::getline(parts, cell, '|');) cells.push_back(cell);
        EXPECT_EQ(cells.size(), 6U) << line;
        if (cells.size() != 6) continue;
        Row row{.library = cells[0], .headers = in_code(cells[1]), .places = {}};
        row.everywhere = cells[2] == " everywhere ";
        for (const auto& place : in_code(cells[2])) {
            const bool below_src = fs::exists(project / "src" / place);
            row.places.push_back(below_src ? "src/" + place : place);
        }
        result.push_back(std::move(row));
    }
    return result;
}

bool begins_with_one_of(const std::string& name, const auto& beginnings) {
    return std::ranges::any_of(beginnings,
                               [&](const auto& beginning) { return name.starts_with(beginning); });
}

// Header of some library → the files that include it, from the project's folder.
std::map<std::string, std::set<std::string>> outside_includes() {
    std::map<std::string, std::set<std::string>> result;
    constexpr std::string_view begins = "#include <";
    for (const char* folder : {"src", "tests", "fuzz", "benchmarks"}) {
        for (const auto& entry : fs::recursive_directory_iterator(project / folder)) {
            const auto ending = entry.path().extension();
            if (ending != ".cpp" && ending != ".hpp") continue;
            std::ifstream stream(entry.path());
            for (std::string line; std::getline(stream, line);) {
                if (!line.starts_with(begins)) continue;
                const std::string header =
                    line.substr(begins.size(), line.find('>') - begins.size());
                const bool of_the_language = header.find_first_of("/.") == std::string::npos;
                if (of_the_language || begins_with_one_of(header, system_headers)) continue;
                result[header].insert(entry.path().lexically_relative(project).string());
            }
        }
    }
    return result;
}

TEST(Dependencies, StandOnceAndAtPlacesThatAreThere) {
    std::set<std::string> known;
    EXPECT_GE(rows().size(), 20U);
    for (const auto& row : rows()) {
        EXPECT_TRUE(known.insert(row.library).second) << row.library << " stands twice";
        EXPECT_EQ(row.places.empty(), row.everywhere) << row.library << " is used nowhere";
        for (const auto& place : row.places) {
            EXPECT_TRUE(fs::exists(project / place)) << row.library << ": " << place;
        }
    }
}

TEST(Dependencies, EveryIncludeIsOfALibraryThatStandsThere) {
    const auto known = rows();
    for (const auto& [header, files] : outside_includes()) {
        const auto count = std::ranges::count_if(
            known, [&](const Row& row) { return begins_with_one_of(header, row.headers); });
        EXPECT_EQ(count, 1) << "<" << header << ">, included by " << *files.begin();
    }
}

TEST(Dependencies, AreUsedWhereTheTableSaysAndNowhereElse) {
    const auto includes = outside_includes();
    for (const auto& row : rows()) {
        if (row.everywhere || row.headers.empty()) continue;
        std::set<std::string> unused(row.places.begin(), row.places.end());
        for (const auto& [header, files] : includes) {
            if (!begins_with_one_of(header, row.headers)) continue;
            for (const auto& file : files) {
                const auto place = std::ranges::find_if(
                    row.places, [&](const auto& known) { return file.starts_with(known); });
                EXPECT_NE(place, row.places.end())
                    << file << " includes <" << header << ">, which the table does not say of"
                    << row.library;
                if (place != row.places.end()) unused.erase(*place);
            }
        }
        for (const auto& place : unused) {
            ADD_FAILURE() << "nothing in " << place << " includes" << row.library;
        }
    }
}

}  // namespace
