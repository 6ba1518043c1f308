// One file of the program writes to the terminal: what came from outside cannot go past it.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>

namespace {

namespace fs = std::filesystem;

TEST(TerminalRim, IsTheOnlyPlaceThatWritesToTheTerminal) {
    const fs::path rim = fs::path(PROJECT_FOLDER) / "src/app/terminal.cpp";
    const std::regex writes(
        R"(\b(stdout|stderr|STDOUT_FILENO|STDERR_FILENO|cout|cerr|clog|printf|puts|putchar|perror)\b|\bfmt::print\b|/dev/(tty\b|std))");
    const std::regex comment("//.*");
    std::size_t in_rim = 0;
    for (const auto& entry : fs::recursive_directory_iterator(fs::path(PROJECT_FOLDER) / "src")) {
        const auto ending = entry.path().extension();
        if (ending != ".cpp" && ending != ".hpp") continue;
        std::ifstream file(entry.path());
        for (std::string line; std::getline(file, line);) {
            if (!std::regex_search(std::regex_replace(line, comment, ""), writes)) continue;
            if (entry.path() == rim) {
                ++in_rim;
            } else {
                ADD_FAILURE() << entry.path() << ": " << line;
            }
        }
    }
    EXPECT_GT(in_rim, 3U);
}

}  // namespace
