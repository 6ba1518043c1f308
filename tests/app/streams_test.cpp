// Standard output and error that cannot be written: told where that can be, no file of the user's
// harmed, and an exit status that docs/files.md knows.
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <cstdlib>
#include <fstream>

#include "app/command_table.hpp"
#include "support/run_program.hpp"

namespace gapwright::testing_support {
namespace {

namespace fs = std::filesystem;

// The exit status of `PROGRAM line` by the shell, whose redirections are part of the line.
int status_of(const std::string& line, const fs::path& folder) {
    const std::string command = "cd '" + folder.string() + "' && '" PROGRAM "' " + line;
    const int status = std::system(command.c_str());
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

// Every command, those that end with a mistake among them.
std::vector<std::string> lines() {
    std::vector<std::string> all = other_commands();
    for (const auto& command : writing_commands()) all.push_back(command.arguments);
    for (const char* line : {"--help", "--version", "card fit --help", "nonsense", "check",
                             "check no-such.link.toml", "check no-such.link.toml --json"}) {
        all.emplace_back(line);
    }
    return all;
}

TEST(StandardError, ThatCannotBeWrittenChangesNothing) {
    const ScratchFolder folder;
    make_scene(folder.path());
    for (const auto& line : lines()) {
        const int usual = status_of(line + " >/dev/null 2>/dev/null", folder.path());
        EXPECT_GE(usual, 0) << line;
        for (const char* lost : {" 2>&-", " 2>/dev/full"}) {
            EXPECT_EQ(status_of(line + lost + " >/dev/null", folder.path()), usual) << line << lost;
        }
    }
}

TEST(StandardOutput, ThatCannotBeWrittenIsTold) {
    const ScratchFolder folder;
    make_scene(folder.path());
    for (const auto& line : lines()) {
        const int usual = status_of(line + " >out 2>/dev/null", folder.path());
        const bool says = !text_of_file(folder.path() / "out").empty();
        for (const char* lost : {" >&-", " >/dev/full"}) {
            const int status = status_of(line + lost + " 2>err", folder.path());
            const std::string told = text_of_file(folder.path() / "err");
            const bool input_is_bad = usual == 2 && status == 2;  // which is told besides
            EXPECT_TRUE(status == (says ? 3 : usual) || input_is_bad) << line << lost << status;
            EXPECT_EQ(told.find("the output could not be written") != std::string::npos, says)
                << line << lost << told;
        }
    }
}

TEST(StandardOutput, WhoseReaderGoesAwayIsTold) {
    const ScratchFolder folder;
    make_scene(folder.path());
    // The status goes by a file: a pipeline's is that of its last command.
    const std::string command =
        "cd '" + folder.path().string() +
        "' && { '" PROGRAM "' check plain.link.toml --samples 20 2>err; echo $? >status; } | true";
    ASSERT_EQ(std::system(("sleep 0; " + command).c_str()), 0);
    const std::string status = text_of_file(folder.path() / "status");
    EXPECT_TRUE(status == "3\n" || status == "0\n") << status;  // 0: it was the quicker one
}

// A file that is opened while a standard stream is missing must not become it.
TEST(MissingStreams, AreNotTakenByFiles) {
    const ScratchFolder folder;
    make_scene(folder.path());
    for (const auto& command : writing_commands()) {
        if (!command.runs) continue;
        for (const auto& output : command.outputs) {
            if (output.folder) continue;
            const fs::path file = folder.path() / output.name;
            const std::string line = command.arguments + " " + output.option + " " + output.name;
            status_of(line + " >/dev/null 2>/dev/null", folder.path());
            const std::string whole = text_of_file(file);
            ASSERT_FALSE(whole.empty()) << line;
            for (const char* lost : {" 2>&-", " >&-", " >&- 2>&-", " <&- >&- 2>&-"}) {
                fs::remove(file);
                EXPECT_GE(status_of(line + lost, folder.path()), 0) << line << lost;
                if (fs::exists(file)) {
                    EXPECT_EQ(text_of_file(file), whole) << line << lost;
                }
            }
            fs::remove(file);
        }
    }
}

// `-o -` to where nothing can be written.
TEST(StandardOutput, ThatAnOutputTakesIsToldToo) {
    const ScratchFolder folder;
    make_scene(folder.path());
    for (const auto& command : writing_commands()) {
        if (!command.runs) continue;
        for (const auto& output : command.outputs) {
            if (output.folder) continue;
            const std::string line =
                command.arguments + " " + output.option + " - >/dev/full 2>err";
            EXPECT_EQ(status_of(line, folder.path()), 3) << line;
            EXPECT_NE(text_of_file(folder.path() / "err").find("the output could not be written"),
                      std::string::npos)
                << line;
        }
    }
}

}  // namespace
}  // namespace gapwright::testing_support
