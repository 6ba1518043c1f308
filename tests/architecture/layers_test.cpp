// The arrows of docs/architecture.md: what src/CMakeLists.txt lets a layer use is all that it
// includes, arrows point down only, and the folder list in the document is the list on disk.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

namespace {

namespace fs = std::filesystem;
const fs::path project = PROJECT_FOLDER;

std::string text_of(const fs::path& path) {
    std::ifstream stream(path);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

std::set<std::string> words(const std::string& text) {
    std::istringstream stream(text);
    return {std::istream_iterator<std::string>(stream), {}};
}

// Layer → what it may use, in the order of src/CMakeLists.txt.
std::vector<std::pair<std::string, std::set<std::string>>> layers() {
    std::vector<std::pair<std::string, std::set<std::string>>> result;
    const std::string text = text_of(project / "src/CMakeLists.txt");
    const std::regex layer(R"(\nlayer\((\w+)(?: USES ([\w ]+?))?(?: LIBRARIES [^)]*)?\))");
    for (std::sregex_iterator it(text.begin(), text.end(), layer), end; it != end; ++it) {
        result.emplace_back((*it)[1], words((*it)[2]));
    }
    result.emplace_back(
        "app", std::set<std::string>{"source", "units", "device", "card", "chart", "link", "fit",
                                     "instrument", "proof", "design", "build", "bench", "report",
                                     "page", "service", "folder"});
    return result;
}

TEST(Layers, UseOnlyWhatStandsAboveThem) {
    std::set<std::string> known;
    ASSERT_GE(layers().size(), 10U);
    for (const auto& [layer, uses] : layers()) {
        for (const auto& used : uses) {
            EXPECT_TRUE(known.contains(used))
                << layer << " uses " << used << ", which is not below";
        }
        known.insert(layer);
    }
}

TEST(Layers, IncludesFollowTheArrows) {
    const std::regex include(R"(#include "(\w+)/[\w/]+\.hpp")");
    for (const auto& [layer, uses] : layers()) {
        for (const auto& entry : fs::recursive_directory_iterator(project / "src" / layer)) {
            if (!entry.is_regular_file()) continue;
            const std::string text = text_of(entry.path());
            for (std::sregex_iterator it(text.begin(), text.end(), include), end; it != end; ++it) {
                const std::string used = (*it)[1];
                EXPECT_TRUE(used == layer || uses.contains(used))
                    << entry.path() << " includes " << used << "/";
            }
        }
    }
}

TEST(Layers, EveryFolderIsALayerAndStandsInTheDocument) {
    std::set<std::string> known;
    for (const auto& [layer, uses] : layers()) known.insert(layer);
    const std::string document = text_of(project / "docs/architecture.md");
    for (const auto& entry : fs::directory_iterator(project / "src")) {
        if (!entry.is_directory()) continue;
        const std::string name = entry.path().filename().string();
        EXPECT_TRUE(known.contains(name)) << name;
        EXPECT_NE(document.find("\n" + name + "/ "), std::string::npos) << name;
    }
}

// An exception of a thread ends the program unless it is carried elsewhere: at_once does so for all
// work that is waited for. The others end by themselves and say how they take exceptions.
TEST(Threads, AreStartedInFewPlaces) {
    const std::set<std::string> starters = {
        "src/population/at_once.cpp",  "src/page/jobs.hpp",    "src/page/jobs.cpp",
        "src/service/worker_pool.hpp", "src/app/terminal.hpp", "src/app/terminal.cpp"};
    const std::regex starts(R"(std::(jthread|thread\b(?!::)|async))");
    std::set<std::string> found;
    for (const auto& entry : fs::recursive_directory_iterator(project / "src")) {
        if (!entry.is_regular_file()) continue;
        if (!std::regex_search(text_of(entry.path()), starts)) continue;
        found.insert(entry.path().lexically_relative(project).string());
    }
    EXPECT_EQ(found, starters);
}

TEST(Files, AreNotTooLong) {
    for (const char* folder : {"src", "tests", "fuzz"}) {
        for (const auto& entry : fs::recursive_directory_iterator(project / folder)) {
            const auto ending = entry.path().extension();
            if (ending != ".cpp" && ending != ".hpp") continue;
            const std::string text = text_of(entry.path());
            EXPECT_LE(std::ranges::count(text, '\n'), 500) << entry.path();
        }
    }
}

}  // namespace
