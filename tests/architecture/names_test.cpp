// One name, one type: two types of one name in one namespace are one to the linker, which takes
// what a template makes of either for both (C++ [basic.def.odr]). Compilers do not tell.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;

// "gapwright::layout::Cost" → the files of src/ that define it. What is in a namespace without a
// name belongs to its file.
std::map<std::string, std::set<std::string>> types_of(const fs::path& folder) {
    const std::regex opens(R"(^namespace(?: ([\w:]+))? \{)");
    const std::regex type(
        R"(^(?:struct|class|enum class|union) (\w+)(?: final)?(?: : [^;]*)? \{.*)");
    std::map<std::string, std::set<std::string>> types;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        const auto ending = entry.path().extension();
        if (ending != ".hpp" && ending != ".cpp") continue;
        std::ifstream stream(entry.path());
        std::vector<std::string> spaces;
        std::smatch found;
        for (std::string line; std::getline(stream, line);) {
            if (std::regex_search(line, found, opens)) spaces.push_back(found[1]);
            if (line.starts_with("}  // namespace") && !spaces.empty()) spaces.pop_back();
            if (!std::regex_match(line, found, type)) continue;
            std::string name;
            bool hidden = false;
            for (const auto& space : spaces) {
                name += space + "::";
                hidden = hidden || space.empty();
            }
            if (!hidden) types[name + found[1].str()].insert(fs::relative(entry.path(), folder));
        }
    }
    return types;
}

TEST(Names, OfTypesAreTakenOnce) {
    const auto types = types_of(fs::path(PROJECT_FOLDER) / "src");
    EXPECT_GT(types.size(), 500U);
    for (const auto& [name, files] : types) {
        EXPECT_EQ(files.size(), 1U)
            << name << " in " << *files.begin() << " and " << *files.rbegin();
    }
}

}  // namespace
