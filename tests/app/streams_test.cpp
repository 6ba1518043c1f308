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
    std::vector<std::string> all = all_lines();
    for (const char* line : {"--help", "--version", "card fit --help", "nonsense", "check",
                             "check no-such.link.toml", "check no-such.link.toml --json"}) {
        all.emplace_back(line);
    }
    return all;
}

class Streams : public testing::TestWithParam<std::string> {
  protected:
    Streams() { make_scene(folder_.path()); }
    ScratchFolder folder_;
};

std::string number_of(const testing::TestParamInfo<std::string>& info) {
    return std::to_string(info.index);
}
INSTANTIATE_TEST_SUITE_P(Each, Streams, testing::ValuesIn(lines()), number_of);

TEST_P(Streams, StandardErrorThatCannotBeWrittenChangesNothing) {
    const std::string& line = GetParam();
    const int usual = status_of(line + " >/dev/null 2>/dev/null", folder_.path());
    EXPECT_GE(usual, 0) << line;
    for (const char* lost : {" 2>&-", " 2>/dev/full"}) {
        EXPECT_EQ(status_of(line + lost + " >/dev/null", folder_.path()), usual) << line << lost;
    }
}

TEST_P(Streams, StandardOutputThatCannotBeWrittenIsTold) {
    const std::string& line = GetParam();
    const int usual = status_of(line + " >out 2>/dev/null", folder_.path());
    const bool says = !text_of_file(folder_.path() / "out").empty();
    for (const char* lost : {" >&-", " >/dev/full"}) {
        const int status = status_of(line + lost + " 2>err", folder_.path());
        const std::string told = text_of_file(folder_.path() / "err");
        const bool input_is_bad = usual == 2 && status == 2;  // which is told besides
        EXPECT_TRUE(status == (says ? 3 : usual) || input_is_bad) << line << lost << status;
        EXPECT_EQ(told.find("the output could not be written") != std::string::npos, says)
            << line << lost << told;
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

class StreamsAndOutputs : public testing::TestWithParam<WritingCommand> {
  protected:
    StreamsAndOutputs() { make_scene(folder_.path()); }

    // Lines with one output each, for which `-` or its name is still to be written.
    std::vector<std::pair<std::string, std::string>> lines_and_names() const {
        std::vector<std::pair<std::string, std::string>> lines;
        for (const auto& output : GetParam().outputs) {
            if (output.folder || !GetParam().runs) continue;
            lines.emplace_back(GetParam().arguments + " " + output.option + " ", output.name);
        }
        return lines;
    }

    ScratchFolder folder_;
};

std::string name_of(const testing::TestParamInfo<WritingCommand>& info) {
    return std::to_string(info.index);
}
INSTANTIATE_TEST_SUITE_P(Each, StreamsAndOutputs, testing::ValuesIn(writing_commands()), name_of);

// A file that is opened while a standard stream is missing must not become it.
TEST_P(StreamsAndOutputs, NoFileBecomesAMissingStream) {
    for (const auto& [line, name] : lines_and_names()) {
        const fs::path file = folder_.path() / name;
        status_of(line + name + " >/dev/null 2>/dev/null", folder_.path());
        const std::string whole = text_of_file(file);
        ASSERT_FALSE(whole.empty()) << line;
        for (const char* lost : {" >/dev/null 2>&-", " 2>/dev/null >&-", " <&- >&- 2>&-"}) {
            fs::remove(file);
            EXPECT_GE(status_of(line + name + lost, folder_.path()), 0) << line << lost;
            if (fs::exists(file)) {
                EXPECT_EQ(text_of_file(file), whole) << line << lost;
            }
        }
    }
}

TEST_P(StreamsAndOutputs, AnOutputThatTakesStandardOutputIsToldToo) {
    for (const auto& [line, name] : lines_and_names()) {
        EXPECT_EQ(status_of(line + "- >/dev/full 2>err", folder_.path()), 3) << line;
        EXPECT_NE(text_of_file(folder_.path() / "err").find("the output could not be written"),
                  std::string::npos)
            << line;
    }
}

}  // namespace
}  // namespace gapwright::testing_support
