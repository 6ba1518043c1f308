// Each file of cases/ is a session at the terminal: files, a command, what it must answer.
//
//   file NAME          the lines that follow, each after "| ", are written to NAME
//   run ARGUMENTS      the program is run in the folder of these files
//   exit N             its exit status
//   stdout has TEXT    its output holds TEXT; `stdout lacks TEXT`; likewise for stderr
//   stdout is          the whole output is the lines that follow; likewise for stderr
//   files N            the folder holds N files afterwards
//   written NAME has TEXT    that file holds TEXT; `written NAME lacks TEXT`
//   # …                a comment
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <sstream>

#include "support/run_program.hpp"

namespace gapwright {
namespace {

using testing_support::Outcome;
using testing_support::ScratchFolder;

class Session {
  public:
    explicit Session(const std::filesystem::path& file)
        : lines_(testing_support::text_of_file(file)) {}

    void play() {
        std::string line;
        while (std::getline(lines_, line)) {
            if (line.empty() || line[0] == '#') continue;
            const auto space = line.find(' ');
            const std::string verb = line.substr(0, space);
            const std::string rest = space == std::string::npos ? "" : line.substr(space + 1);
            if (verb == "file") {
                std::ofstream(folder_.path() / rest) << block();
            } else if (verb == "run") {
                outcome_ = testing_support::run_program(rest, folder_.path());
                ran_ = true;
            } else if (verb == "exit") {
                EXPECT_EQ(outcome_.exit_status, std::stoi(rest)) << outcome_.out << outcome_.err;
            } else if (verb == "files") {
                const std::filesystem::directory_iterator files(folder_.path());
                EXPECT_EQ(std::distance(begin(files), end(files)), std::stoi(rest));
            } else if (verb == "written") {
                const auto name = rest.substr(0, rest.find(' '));
                check(testing_support::text_of_file(folder_.path() / name),
                      rest.substr(name.size() + 1));
            } else {
                ASSERT_TRUE(verb == "stdout" || verb == "stderr") << "unknown line: " << verb;
                check(verb == "stdout" ? outcome_.out : outcome_.err, rest);
            }
        }
        EXPECT_TRUE(ran_);
    }

  private:
    std::string block() {
        std::string text;
        while (lines_.peek() == '|') {
            std::string line;
            std::getline(lines_, line);
            text += line.substr(std::min<std::size_t>(2, line.size())) + "\n";
        }
        return text;
    }

    void check(const std::string& output, const std::string& rest) {
        if (rest == "is") {
            EXPECT_EQ(output, block());
        } else if (rest.starts_with("has ")) {
            EXPECT_NE(output.find(rest.substr(4)), std::string::npos) << rest << "\n" << output;
        } else if (rest.starts_with("lacks ")) {
            EXPECT_EQ(output.find(rest.substr(6)), std::string::npos) << rest << "\n" << output;
        } else {
            FAIL() << "unknown line: " << rest;
        }
    }

    std::istringstream lines_;
    ScratchFolder folder_;
    Outcome outcome_;
    bool ran_ = false;
};

std::vector<std::filesystem::path> case_files() {
    std::vector<std::filesystem::path> files;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/tests/app/cases")) {
        if (entry.path().extension() == ".case") files.push_back(entry.path());
    }
    std::ranges::sort(files);
    return files;
}

class CommandCase : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(CommandCase, AnswersAsWritten) {
    Session(GetParam()).play();
}

std::string name_of(const testing::TestParamInfo<std::filesystem::path>& info) {
    std::string name = info.param.stem().string();
    std::ranges::replace(name, '-', '_');
    return name;
}

INSTANTIATE_TEST_SUITE_P(Cases, CommandCase, testing::ValuesIn(case_files()), name_of);

}  // namespace
}  // namespace gapwright
