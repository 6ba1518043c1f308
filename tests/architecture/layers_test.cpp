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
    const std::regex layer(
        R"(\nlayer\((\w+)(?: USES ([a-z\s]+?))?(?: FUZZED| WORDS)?(?:\s+LIBRARIES\s[^)]*)?\))");
    for (std::sregex_iterator it(text.begin(), text.end(), layer), end; it != end; ++it) {
        result.emplace_back((*it)[1], words((*it)[2]));
    }
    std::smatch program;
    const std::regex app(
        R"(target_link_libraries\(gapwright PRIVATE ([a-z\s]+?)\s+project_options)");
    EXPECT_TRUE(std::regex_search(text, program, app));
    result.emplace_back("app", words(program[1]));
    return result;
}

// The layers of the picture in docs/architecture.md, lowest first.
std::vector<std::string> picture() {
    const std::string text = text_of(project / "docs/architecture.md");
    const auto begin = text.find("```\n") + 4;
    std::istringstream lines(text.substr(begin, text.find("```", begin) - begin));
    std::vector<std::string> result;
    for (std::string line; std::getline(lines, line);) {
        result.insert(result.begin(), line.substr(0, line.find('/')));
    }
    return result;
}

// The layers that files of a layer include, itself left out; each with one that does.
std::map<std::string, fs::path> included_by(const std::string& layer) {
    const std::regex include(R"x(#include "(\w+)/[\w/]+\.(?:hpp|inc)")x");
    std::map<std::string, fs::path> result;
    for (const auto& entry : fs::recursive_directory_iterator(project / "src" / layer)) {
        if (!entry.is_regular_file()) continue;
        const std::string text = text_of(entry.path());
        for (std::sregex_iterator it(text.begin(), text.end(), include), end; it != end; ++it) {
            if ((*it)[1] != layer) result.emplace((*it)[1], entry.path());
        }
    }
    return result;
}

TEST(Layers, UseOnlyWhatStandsBelowThemInThePicture) {
    const auto order = picture();
    ASSERT_EQ(order.size(), layers().size());
    for (const auto& [layer, uses] : layers()) {
        const auto place = std::ranges::find(order, layer);
        ASSERT_NE(place, order.end()) << layer;
        for (const auto& used : uses) {
            EXPECT_LT(std::ranges::find(order, used), place)
                << layer << " uses " << used << ", which is not below";
        }
    }
}

TEST(Layers, IncludeWhatTheyUseAndNothingElse) {
    for (const auto& [layer, uses] : layers()) {
        const auto included = included_by(layer);
        for (const auto& [used, file] : included) {
            EXPECT_TRUE(uses.contains(used)) << file << " includes " << used << "/";
        }
        for (const auto& used : uses) {
            EXPECT_TRUE(included.contains(used)) << layer << " names " << used << " for nothing";
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
// work that is waited for, a future for what is asked for meanwhile. The others end by themselves
// and say how they take exceptions.
TEST(Threads, AreStartedInFewPlaces) {
    const std::set<std::string> starters = {
        "src/app/bench_command.cpp", "src/population/at_once.cpp",  "src/page/jobs.hpp",
        "src/page/jobs.cpp",         "src/service/worker_pool.hpp", "src/app/terminal.hpp",
        "src/app/terminal.cpp"};
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
